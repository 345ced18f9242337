"""Sharing a week out: every task gets a person and a day.

`share_out(problem, seconds=2)` gives the best plan found in that time and says whether it is
proven; `from_json` and `to_json` read and write the neutral form of a week.
"""

from household.calc.sharing.neutral import BadProblem, from_json, to_json
from household.calc.sharing.problem import Assignment, Member, Place, Problem, Task, with_targets
from household.calc.sharing.rates import EVEN, FREE_TIME, PRESETS, SHARES, Components, Rates
from household.calc.sharing.solve import Solution, share_out

__all__ = [
    "EVEN",
    "FREE_TIME",
    "PRESETS",
    "SHARES",
    "Assignment",
    "BadProblem",
    "Components",
    "Member",
    "Place",
    "Problem",
    "Rates",
    "Solution",
    "Task",
    "from_json",
    "share_out",
    "to_json",
    "with_targets",
]

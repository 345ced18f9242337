"""What a week comes to when only its sums are whole, and the few places likely in its best plan.

Most of what whole tasks cost is in the sums: each person's minutes, and the overload of all. A
programme with those whole and tasks still divisible is solved in a moment, and bounds the aim
well. In the best plans of its fairness most tasks have few places that are not too dear: by its
reduced costs the others are left out, and what is left is small enough to try for a plan at once.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from household.calc import programme
from household.calc.programme import Programme, Relaxation
from household.calc.sharing.model import Model

ROUNDING = 1e-6
# With so few whole columns branching is quicker than anything that looks for plans.
BRANCHING_ONLY = {
    "presolve": "off",
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_root_reduced_cost": False,
}


@dataclass(frozen=True, slots=True)
class Levels:
    """A bound on the aim, and the programme's values of columns (None where time ran out)."""

    bound: float
    values: Sequence[float] | None


def whole_sums(
    model: Model, *, seconds: float, clock: Callable[[], float] = time.perf_counter
) -> Levels:
    """The week with whole sums and divisible tasks; SolverTrouble from the solver."""
    made = model.programme
    whole = [False] * model.places + made.whole[model.places :]
    answer = programme.solve(
        replace(made, whole=whole),
        seconds=seconds,
        step=0.5,
        options=BRANCHING_ONLY,
        clock=clock,
    )
    return Levels(answer.bound, answer.values)


def likely_places(model: Model, values: Sequence[float], cutoff: float) -> Programme:
    """The programme without what no plan up to `cutoff` has, if it is no less fair than `values`.

    The programme may have no plan at all even where there is one: this is for finding, not for
    proving. It shares its rows with the model's.
    """
    made = model.programme
    high = list(made.high)
    for column in (model.largest, model.total, model.beyond):
        if column is not None:
            high[column] = values[column] + ROUNDING
    whole = [False] * len(made.whole)
    answer = Relaxation(replace(made, high=high, whole=whole)).solve()
    if not answer.proven or answer.values is None:
        return replace(made, high=high)
    spare = cutoff - answer.objective + ROUNDING
    for column in range(model.places):
        if answer.reduced[column] > spare and answer.values[column] < ROUNDING:
            high[column] = 0
    return replace(made, high=high)

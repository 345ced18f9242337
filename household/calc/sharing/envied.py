"""What stands between a person and a list that they would rather have.

Only what truly constrains is named: a limit that keeps tasks where they are counts if the envy
would stay even after every task that may move had moved.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from household.calc.fairness import Envy, weighted_envy
from household.calc.sharing.problem import Problem, Task
from household.calc.sharing.rates import BURDEN_PERCENT
from household.calc.sharing.solve import Solution


@dataclass(frozen=True, slots=True)
class Held:
    """Why a pair's envy stays; `by` and `of` are ids of members.

    `tasks` are all that `by` has. Of these `set_aside` are fixed to `by`, `not_allowed` nobody may
    give to `of`, and `away` fall on days when `of` is away; all three are empty where they alone
    do not keep the envy. `to_make_up` are minutes that `by` has this week beyond the own share of
    it, and `ahead` those that `of` has less, both from earlier weeks' balances.
    """

    by: str
    of: str
    tasks: tuple[str, ...]
    set_aside: tuple[str, ...]
    not_allowed: tuple[str, ...]
    away: tuple[str, ...]
    to_make_up: int
    ahead: int


def held(problem: Problem, solution: Solution, envy: Envy) -> Held:
    """What keeps one pair's envy."""
    by, of = problem.members[envy.by], problem.members[envy.of]
    own = [
        task
        for task in problem.tasks
        if task.id in solution.assignment and solution.assignment[task.id].member == by.id
    ]
    stays = {task.id: _limit(problem, task, by.id, of.id) for task in own}
    if not _stays_even_so(problem, solution, envy, stays):
        stays = dict.fromkeys(stays, "")
    return Held(
        by=by.id,
        of=of.id,
        tasks=tuple(stays),
        set_aside=tuple(id for id, limit in stays.items() if limit == "set aside"),
        not_allowed=tuple(id for id, limit in stays.items() if limit == "not allowed"),
        away=tuple(id for id, limit in stays.items() if limit == "away"),
        to_make_up=max(0, _beyond_share(problem, envy.by)),
        ahead=max(0, -_beyond_share(problem, envy.of)),
    )


def _limit(problem: Problem, task: Task, by: str, of: str) -> str:
    if task.fixed_member == by:
        return "set aside"
    if of not in task.who_may():
        return "not allowed"
    if not any(place.member == of for place in problem.places(task)):
        return "away"
    return ""


def _stays_even_so(problem: Problem, solution: Solution, envy: Envy, stays: dict[str, str]) -> bool:
    """Whether the envy stays after all that may move from the one to the other has moved."""
    by, of = problem.members[envy.by], problem.members[envy.of]
    burdens = [task.minutes * BURDEN_PERCENT[by.dislikes(task.kind)] for task in problem.tasks]
    bundles: list[list[int]] = [[], []]
    for c, task in enumerate(problem.tasks):
        place = solution.assignment.get(task.id)
        if place is not None and place.member == by.id:
            bundles[0 if stays[task.id] else 1].append(c)
        elif place is not None and place.member == of.id:
            bundles[1].append(c)
    left = weighted_envy(bundles, [burdens, burdens], [by.weight, of.weight])
    return any(pair.by == 0 for pair in left)


def _beyond_share(problem: Problem, position: int) -> int:
    total = sum(member.target for member in problem.members)
    weights = sum(member.weight for member in problem.members)
    member = problem.members[position]
    return round(member.target - Fraction(total * member.weight, weights)) if weights else 0

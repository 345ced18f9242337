"""Why a plan is as it is: one assignment, what stands in the way, and what does not fit.

Everything is worked out again from the problem and the plan by the independent checker, so an
explanation cannot repeat a mistake of the search.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from household.calc.sharing import aims
from household.calc.sharing.local import improve
from household.calc.sharing.problem import DAYS, Assignment, Place, Problem, Task
from household.calc.sharing.rates import Components, Rates
from household.calc.sharing.solve import Solution
from household.calc.sharing.table import tabulate

Because = Literal[
    "fixed", "only one who may", "free time", "shares", "settled", "comfort", "as good"
]
OBSTACLE_TRIES = 6_000


@dataclass(frozen=True, slots=True)
class Other:
    """Another person who may do the task, on the best day for it, everything else unchanged.

    `extra` is what it would cost in the weighted aim (below 0 is better); the rest are changes of
    minutes and points. `room` is the free time left to that person that day, never below 0.
    """

    place: Place
    extra: int
    overload: int
    unfairness: int
    changes: int
    comfort: int
    room: int


@dataclass(frozen=True, slots=True)
class Reason:
    """Why this person does this task: the first thing that would get worse with anybody else."""

    task: str
    place: Place
    because: Because
    may: tuple[str, ...]
    others: tuple[Other, ...]


def why(problem: Problem, solution: Solution, task_id: str) -> Reason:
    """The reason for one assignment; KeyError for a task that is not in the plan."""
    task, place = problem.task_by_id[task_id], solution.assignment[task_id]
    others = []
    for id in task.who_may():
        days = [there for there in problem.places(task) if there.member == id]
        if id != place.member and days:
            tried = [_other(problem, solution, task, there) for there in days]
            others.append(min(tried, key=lambda other: (other.extra, other.place.day)))
    others.sort(key=lambda other: (other.extra, other.place.member))
    return Reason(task_id, place, _because(task, others), task.who_may(), tuple(others))


def _other(problem: Problem, solution: Solution, task: Task, place: Place) -> Other:
    plan = {**solution.assignment, task.id: place}
    new, old = aims.components(problem, plan), solution.components
    spent = sum(
        problem.task_by_id[id].minutes
        for id, at in solution.assignment.items()
        if at == place and id != task.id
    )
    return Other(
        place=place,
        extra=solution.rates.weigh(new, len(problem.members)) - solution.value,
        overload=new.overload_minutes - old.overload_minutes,
        unfairness=new.sum_share_deviation_minutes - old.sum_share_deviation_minutes,
        changes=new.change_points - old.change_points,
        comfort=new.comfort_points - old.comfort_points,
        room=max(0, problem.member_by_id[place.member].capacity[place.day] - spent),
    )


def _because(task: Task, others: list[Other]) -> Because:
    if task.fixed_member is not None:
        return "fixed"
    if not others:
        return "only one who may"
    best = others[0]
    if best.extra <= 0:
        return "as good"
    if best.overload > 0:
        return "free time"
    if best.unfairness > 0:
        return "shares"
    return "settled" if best.changes > 0 else "comfort"


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A hard limit, and by how much at least the plan would be better without it.

    `tasks` are the tasks it holds for, `may` who may do them now (for "who may"), in minutes
    `overload` and `unfairness` less, and `gain` in the weighted aim.
    """

    limit: Literal["who may", "fixed", "days"]
    kind: str | None
    tasks: tuple[str, ...]
    may: tuple[str, ...]
    gain: int
    overload: int
    unfairness: int


def obstacles(problem: Problem, solution: Solution, *, most: int = 3) -> tuple[Obstacle, ...]:
    """The hard limits that cost this plan most, at most `most` of them, worst first.

    Each limit is lifted in turn (who may, kind by kind; fixed people; allowed days) and the plan
    improved from where it is. "At least" because the search then stops after a count of tries.
    """
    found = []
    for limit, kind, tasks in _limits(problem):
        lifted = Problem(
            problem.id,
            problem.members,
            tuple(_lift(problem, task, limit, tasks) for task in problem.tasks),
        )
        parts = _improved(lifted, solution.assignment, solution.rates)
        gain = solution.value - solution.rates.weigh(parts, len(problem.members))
        if gain > 0:
            found.append(_obstacle(problem, solution, limit, kind, tasks, gain, parts))
    found.sort(key=lambda obstacle: (-obstacle.gain, obstacle.limit, obstacle.kind or ""))
    return tuple(found[:most])


def _limits(
    problem: Problem,
) -> list[tuple[Literal["who may", "fixed", "days"], str | None, frozenset[str]]]:
    found: list[tuple[Literal["who may", "fixed", "days"], str | None, frozenset[str]]] = []
    tasks = [task for task in problem.tasks if task.id not in problem.unplaceable]
    for kind in sorted({task.kind for task in tasks}):
        few = [
            t.id
            for t in tasks
            if t.kind == kind and t.fixed_member is None and len(t.eligible) < len(problem.members)
        ]
        if few:
            found.append(("who may", kind, frozenset(few)))
    fixed = [task.id for task in tasks if task.fixed_member is not None]
    if fixed:
        found.append(("fixed", None, frozenset(fixed)))
    dated = [task.id for task in tasks if len(task.days) < DAYS]
    if dated:
        found.append(("days", None, frozenset(dated)))
    return found


def _lift(problem: Problem, task: Task, limit: str, tasks: frozenset[str]) -> Task:
    if task.id not in tasks:
        return task
    if limit == "who may":
        return replace(task, eligible=tuple(member.id for member in problem.members))
    if limit == "fixed":
        return replace(task, fixed_member=None)
    return replace(task, days=tuple(range(DAYS)))


def _improved(problem: Problem, assignment: Assignment, rates: Rates) -> Components:
    table = tabulate(problem, rates)
    plan = table.write(assignment)
    if plan is None:
        return aims.components(problem, assignment)
    better, _ = improve(table, plan, tries=OBSTACLE_TRIES, warmth=0)
    return aims.components(problem, table.read(better))


def _obstacle(
    problem: Problem,
    solution: Solution,
    limit: Literal["who may", "fixed", "days"],
    kind: str | None,
    tasks: frozenset[str],
    gain: int,
    parts: Components,
) -> Obstacle:
    old = solution.components
    may = {id for task in tasks for id in problem.task_by_id[task].who_may()}
    return Obstacle(
        limit=limit,
        kind=kind,
        tasks=tuple(sorted(tasks)),
        may=tuple(sorted(may)),
        gain=gain,
        overload=old.overload_minutes - parts.overload_minutes,
        unfairness=old.sum_share_deviation_minutes - parts.sum_share_deviation_minutes,
    )


@dataclass(frozen=True, slots=True)
class TooMuch:
    """Minutes that do not fit one person's day, and what would make them fit.

    `minutes` more of free time would do. `elsewhere` are tasks of that day with a place that has
    room for them, if it were allowed; `leave_out` is the smallest task that would do.
    """

    member: str
    day: int
    minutes: int
    tasks: tuple[str, ...]
    elsewhere: tuple[tuple[str, Place], ...]
    leave_out: str | None


def overload(problem: Problem, solution: Solution) -> tuple[TooMuch, ...]:
    """Every overfull day, the fullest first."""
    beyond = aims.overloads(problem, solution.assignment)
    found = [_too_much(problem, solution, id, day, over) for (id, day), over in beyond.items()]
    return tuple(sorted(found, key=lambda much: (-much.minutes, much.day, much.member)))


def _too_much(problem: Problem, solution: Solution, id: str, day: int, over: int) -> TooMuch:
    here = Place(id, day)
    tasks = [task for task in problem.tasks if solution.assignment.get(task.id) == here]
    room = _room(problem, solution.assignment)
    elsewhere = []
    for task in sorted(tasks, key=lambda task: (abs(task.minutes - over), task.id)):
        open_days = [
            (place.day in task.days, free, place)
            for place, free in room.items()
            if place.member in task.who_may() and free >= task.minutes
        ]
        if open_days:
            best = max(open_days, key=lambda row: (row[0], row[1], row[2].member, -row[2].day))
            elsewhere.append((task.id, best[2]))
    enough = [task for task in tasks if task.minutes >= over]
    least = min(enough, key=lambda task: (task.minutes, task.id), default=None)
    return TooMuch(
        member=id,
        day=day,
        minutes=over,
        tasks=tuple(task.id for task in tasks),
        elsewhere=tuple(elsewhere),
        leave_out=least.id if least else None,
    )


def _room(problem: Problem, assignment: Assignment) -> dict[Place, int]:
    room = {
        Place(member.id, day): free
        for member in problem.members
        for day, free in enumerate(member.capacity)
    }
    for id, place in assignment.items():
        room[place] -= problem.task_by_id[id].minutes
    return room

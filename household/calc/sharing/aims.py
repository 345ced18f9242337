"""The independent checker: what a plan amounts to, and whether it keeps the hard limits.

Nothing here is shared with the search or the model: it reads the problem and the plan only, in
whole numbers, so that a mistake there cannot hide here.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from household.calc.fairness import Envy, weighted_envy
from household.calc.sharing.problem import Assignment, Place, Problem, Task
from household.calc.sharing.rates import (
    BURDEN_PERCENT,
    CHANGED_DAY_POINTS,
    CHANGED_MEMBER_POINTS,
    COMFORT_BY_DISLIKE,
    LEAVING_POINTS,
    Components,
)


@dataclass(frozen=True, slots=True)
class Broken:
    """A hard limit that a plan does not keep: which task, and what is wrong, in plain words."""

    task: str
    what: str


def broken_limits(problem: Problem, assignment: Assignment) -> tuple[Broken, ...]:
    """Every hard limit the plan breaks; empty for a plan that may be shown."""
    found = []
    left_out = set(problem.unplaceable)
    for task in problem.tasks:
        place = assignment.get(task.id)
        if place is None:
            if task.id not in left_out:
                found.append(Broken(task.id, "has no place"))
        elif place.member not in task.eligible:
            found.append(Broken(task.id, "is given to someone who may not do it"))
        elif task.fixed_member is not None and place.member != task.fixed_member:
            found.append(Broken(task.id, "is taken from its fixed person"))
        elif place.day not in task.days:
            found.append(Broken(task.id, "is on a day that is not allowed"))
        elif any(m.id == place.member and place.day in m.away for m in problem.members):
            found.append(Broken(task.id, "is given to someone who is away"))
    known = {task.id for task in problem.tasks}
    found.extend(Broken(id, "is not a task of this week") for id in assignment if id not in known)
    return tuple(found)


def loads(problem: Problem, assignment: Assignment) -> dict[str, int]:
    """Minutes of each member in the plan."""
    minutes = {member.id: 0 for member in problem.members}
    for task in problem.tasks:
        if task.id in assignment:
            minutes[assignment[task.id].member] += task.minutes
    return minutes


def overloads(problem: Problem, assignment: Assignment) -> dict[tuple[str, int], int]:
    """Minutes beyond the free time, by member and day; only where there are any."""
    minutes: dict[tuple[str, int], int] = defaultdict(int)
    for task in problem.tasks:
        if task.id in assignment:
            place = assignment[task.id]
            minutes[place.member, place.day] += task.minutes
    beyond = {}
    for member in problem.members:
        for day, free in enumerate(member.capacity):
            if minutes[member.id, day] > free:
                beyond[member.id, day] = minutes[member.id, day] - free
    return beyond


def change_points(task: Task, place: Place) -> int:
    """0 as settled, 1 on another day, 3 with another person; 0 where nothing was settled."""
    if task.published is None or task.published == place:
        return 0
    if task.published.member != place.member:
        return CHANGED_MEMBER_POINTS
    return CHANGED_DAY_POINTS


def comfort_points(problem: Problem, task: Task, place: Place) -> int:
    """How little this person likes this task, and whether it leaves the one it stays with."""
    dislike = problem.member_by_id[place.member].dislikes(task.kind)
    leaves = task.stay and task.last_member is not None and task.last_member != place.member
    return task.minutes * COMFORT_BY_DISLIKE[dislike] + (LEAVING_POINTS if leaves else 0)


def components(problem: Problem, assignment: Assignment) -> Components:
    """Every component of the aim, in whole minutes and points."""
    done = loads(problem, assignment)
    deviations = [abs(done[member.id] - member.target) for member in problem.members]
    placed = [(task, assignment[task.id]) for task in problem.tasks if task.id in assignment]
    return Components(
        overload_minutes=sum(overloads(problem, assignment).values()),
        max_share_deviation_minutes=max(deviations, default=0),
        sum_share_deviation_minutes=sum(deviations),
        change_points=sum(change_points(task, place) for task, place in placed),
        comfort_points=sum(comfort_points(problem, task, place) for task, place in placed),
    )


def envy(problem: Problem, assignment: Assignment, *, drop: int = 1) -> tuple[Envy, ...]:
    """Who envies whom beyond one chore, by position in `problem.members` (see `weighted_envy`)."""
    tasks = problem.tasks
    burdens = [
        [task.minutes * BURDEN_PERCENT[member.dislikes(task.kind)] for task in tasks]
        for member in problem.members
    ]
    bundles = [
        [
            c
            for c, task in enumerate(tasks)
            if task.id in assignment and assignment[task.id].member == member.id
        ]
        for member in problem.members
    ]
    weights = [member.weight for member in problem.members]
    return weighted_envy(bundles, burdens, weights, drop=drop)

"""The problem as plain lists of numbers: what the search and the model work on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from household.calc.sharing.problem import Assignment, Place, Problem, Task
from household.calc.sharing.rates import (
    CHANGED_DAY_POINTS,
    CHANGED_MEMBER_POINTS,
    COMFORT_BY_DISLIKE,
    LEAVING_POINTS,
    Rates,
)


class Option(NamedTuple):
    """One allowed place of a task: member and day by position, and what it costs by itself."""

    member: int
    day: int
    cost: int


@dataclass(frozen=True, slots=True)
class Table:
    """Tasks that can be placed, each with its options (never empty); a plan is one option each."""

    ids: tuple[str, ...]
    minutes: tuple[int, ...]
    options: tuple[tuple[Option, ...], ...]
    settled: tuple[int | None, ...]
    capacity: tuple[tuple[int, ...], ...]
    target: tuple[int, ...]
    members: tuple[str, ...]
    rates: Rates

    def read(self, plan: list[int]) -> dict[str, Place]:
        """The plan in the words of the problem."""
        chosen = ((self.ids[t], self.options[t][k]) for t, k in enumerate(plan))
        return {id: Place(self.members[option.member], option.day) for id, option in chosen}

    def write(self, assignment: Assignment) -> list[int] | None:
        """Positions of the options of a plan; None where it is not complete or not allowed."""
        plan = []
        for id, options in zip(self.ids, self.options, strict=True):
            place = assignment.get(id)
            found = [
                k
                for k, option in enumerate(options)
                if place == Place(self.members[option.member], option.day)
            ]
            if not found:
                return None
            plan.append(found[0])
        return plan


def tabulate(problem: Problem, rates: Rates) -> Table:
    """The table of a problem; tasks that nobody may do, or on no day, are left out."""
    position = {member.id: i for i, member in enumerate(problem.members)}
    left_out = set(problem.unplaceable)
    tasks = [task for task in problem.tasks if task.id not in left_out]
    options = tuple(_options(problem, task, rates, position) for task in tasks)
    return Table(
        ids=tuple(task.id for task in tasks),
        minutes=tuple(task.minutes for task in tasks),
        options=options,
        settled=tuple(
            _settled(problem, task, row) for task, row in zip(tasks, options, strict=True)
        ),
        capacity=tuple(member.capacity for member in problem.members),
        target=tuple(member.target for member in problem.members),
        members=tuple(member.id for member in problem.members),
        rates=rates,
    )


def _options(
    problem: Problem, task: Task, rates: Rates, position: dict[str, int]
) -> tuple[Option, ...]:
    row = []
    for place in problem.places(task):
        member = problem.members[position[place.member]]
        comfort = task.minutes * COMFORT_BY_DISLIKE[member.dislikes(task.kind)]
        if task.stay and task.last_member is not None and task.last_member != member.id:
            comfort += LEAVING_POINTS
        change = 0
        if task.published is not None and task.published.member != member.id:
            change = CHANGED_MEMBER_POINTS
        elif task.published is not None and task.published.day != place.day:
            change = CHANGED_DAY_POINTS
        row.append(Option(position[member.id], place.day, rates.change * change + comfort))
    return tuple(row)


def _settled(problem: Problem, task: Task, row: tuple[Option, ...]) -> int | None:
    for k, option in enumerate(row):
        if task.published == Place(problem.members[option.member].id, option.day):
            return k
    return None

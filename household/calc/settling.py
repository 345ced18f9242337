"""Finding a person and a day for each overdue task, without filling anybody's day too full.

Oldest task first. It goes to whoever may do it and has the most minutes left over the coming
days, on the first of those days that has room for it; what it takes is then gone for the next.
A rule of our own, no source: it is quick, can be said in one sentence, and never overfills a day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

# Lighter work takes half the time, in steps of five minutes: common practice, no source.
STEP = 5


@dataclass(frozen=True, slots=True)
class Late:
    """An overdue task: its minutes, the ids of those who may do it, and who has it (or None)."""

    id: int
    minutes: int
    may: frozenset[int]
    holder: int | None


@dataclass(frozen=True, slots=True)
class Room:
    """One person's minutes left on each coming day; the first is today."""

    id: int
    left: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """Where a task fits best: a person, and days from today (0 is today)."""

    member: int
    day: int


def fits(tasks: Iterable[Late], rooms: Sequence[Room]) -> dict[int, Fit]:
    """A fit for each task by its id, in the order given; tasks that fit nowhere are left out."""
    left = {room.id: list(room.left) for room in rooms}
    found = {}
    for task in tasks:
        fit = _best(task, left)
        if fit is not None:
            left[fit.member][fit.day] -= task.minutes
            found[task.id] = fit
    return found


def first_day(minutes: int, left: Sequence[int]) -> int | None:
    """The first day with room for so many minutes."""
    return next((day for day, free in enumerate(left) if free >= minutes), None)


def _best(task: Late, left: dict[int, list[int]]) -> Fit | None:
    fitting = [
        (-sum(free for free in days if free > 0), member != task.holder, member, day)
        for member, days in left.items()
        if member in task.may and (day := first_day(task.minutes, days)) is not None
    ]
    if not fitting:
        return None
    *_, member, day = min(fitting)
    return Fit(member, day)


def lighter_minutes(minutes: int) -> int:
    """Half of it, down to a step of five minutes; never nothing, and never more than it was."""
    return min(minutes, max(STEP, minutes // 2 // STEP * STEP))

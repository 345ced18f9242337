"""A week to share out, in a neutral form that knows nothing of the database.

Units: minutes are whole and positive, days are numbered 0 to 6 from the first day of the week,
dislike runs from 1 (gladly) to 5 (hates it).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from household.calc.fairness import targets

DAYS = 7
NEUTRAL_DISLIKE = 3


@dataclass(frozen=True, slots=True)
class Place:
    """Who does a task, and on which day."""

    member: str
    day: int


Assignment = Mapping[str, Place]


@dataclass(frozen=True, slots=True)
class Member:
    """One person of the week; `capacity` is minutes free on each of the seven days.

    On the days in `away` nothing may be given to them: a hard limit, unlike a day without room.
    """

    id: str
    weight: int
    capacity: tuple[int, ...]
    target: int
    balance: int = 0
    dislike: Mapping[str, int] = field(default_factory=dict)
    skills: tuple[str, ...] = ()
    age: int | None = None
    away: tuple[int, ...] = ()

    def dislikes(self, kind: str) -> int:
        """How much this member dislikes a kind of task: 1 to 5, 3 where nothing is known."""
        return self.dislike.get(kind, NEUTRAL_DISLIKE)


@dataclass(frozen=True, slots=True)
class Task:
    """One task; `eligible` and `fixed_member` are hard, `last_member` counts only with `stay`."""

    id: str
    minutes: int
    kind: str
    days: tuple[int, ...]
    eligible: tuple[str, ...]
    fixed_member: str | None = None
    last_member: str | None = None
    stay: bool = False
    published: Place | None = None

    def who_may(self) -> tuple[str, ...]:
        """Members who may do it, with a fixed person taken into account."""
        if self.fixed_member is None:
            return self.eligible
        return tuple(member for member in self.eligible if member == self.fixed_member)

    def may(self, place: Place) -> bool:
        """Whether the hard limits allow this person on this day."""
        return place.day in self.days and place.member in self.who_may()


@dataclass(frozen=True)
class Problem:
    """A whole week. Members and tasks are kept in order of their ids, so answers never depend on
    the order in which they were read."""

    id: str
    members: tuple[Member, ...]
    tasks: tuple[Task, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "members", tuple(sorted(self.members, key=lambda m: m.id)))
        object.__setattr__(self, "tasks", tuple(sorted(self.tasks, key=lambda t: t.id)))

    @cached_property
    def member_by_id(self) -> Mapping[str, Member]:
        """Members by their id."""
        return {member.id: member for member in self.members}

    @cached_property
    def task_by_id(self) -> Mapping[str, Task]:
        """Tasks by their id."""
        return {task.id: task for task in self.tasks}

    @cached_property
    def unplaceable(self) -> tuple[str, ...]:
        """Ids of tasks that nobody may do, or on no day: reported, and left out of the plan."""
        return tuple(task.id for task in self.tasks if not any(self.places(task)))

    def places(self, task: Task) -> Iterator[Place]:
        """Everywhere the hard limits allow a task to be, by member and then by day."""
        for id in task.who_may():
            away = self.member_by_id[id].away
            yield from (Place(id, day) for day in task.days if day not in away)


def with_targets(id: str, members: tuple[Member, ...], tasks: tuple[Task, ...]) -> Problem:
    """The problem with each member's target worked out from weights and balances."""
    ordered = sorted(members, key=lambda m: m.id)
    if not ordered:
        return Problem(id, (), tasks)
    left_out = set(Problem(id, members, tasks).unplaceable)
    placeable = sum(task.minutes for task in tasks if task.id not in left_out)
    minutes = targets(placeable, [m.weight for m in ordered], [m.balance for m in ordered])
    return Problem(
        id,
        tuple(replace(m, target=target) for m, target in zip(ordered, minutes, strict=True)),
        tasks,
    )

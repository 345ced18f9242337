"""Where a task of the week stands: with whom and on which day, now and in the draft."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from household.chores.models import Task
from household.people.models import Member
from household.week.queries import Week


@dataclass(frozen=True, slots=True)
class Where:
    member: Member
    day: date
    drafted: bool = False
    held: bool = False

    def same_as(self, other: Where) -> bool:
        return self.member.pk == other.member.pk and self.day == other.day

    @classmethod
    def now(cls, week: Week, task: Task) -> Where | None:
        """As the task itself says; None while it has no person or no day in this week."""
        member = next((m for m in week.members if m.pk == task.member_id), None)
        if member is None or task.day not in week.days or task.day < week.today:
            return None
        return cls(member, task.day)


def where_in(week: Week, task: Task) -> Where | None:
    """As the draft says, or else as the task does.

    A draft is passed over where its day is over or somebody has gone away since.
    """
    place = week.plan.draft.get(str(task.pk))
    if place is None:
        return Where.now(week, task)
    member = next((m for m in week.members if m.pk == place["member"]), None)
    day = date.fromisoformat(place["day"])
    if member is None or day not in week.days or day < week.today or day in week.away[member.pk]:
        return Where.now(week, task)
    return Where(member, day, drafted=True, held=bool(place.get("held")))

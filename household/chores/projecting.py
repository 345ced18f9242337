"""The tasks that a chore will have beyond those already written, as far as anybody can know."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from datetime import date, timedelta

from household.calc.recurrence.repeat import Due, Kind, Shift, due_between
from household.chores.models import Chore, Who
from household.chores.staging import Calendar, closed_days, member_for

# A holiday may move a task back by some days: what nominally lies just past the end may not.
_PAST_THE_END = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Projected:
    """A task to come. `member_id` is None where that is not known, or nobody's."""

    occurrence: date
    opens: date
    closes: date
    member_id: int | None


def hangs_on_people(chore: Chore) -> bool:
    """Whether its dates or turns need more than its own rule: holidays, absences, members."""
    kept = chore.on_holiday == Shift.KEEP and chore.on_away == Shift.KEEP
    return not kept or chore.who == Who.TURNS


def projected(chore: Chore, calendar: Calendar, last: date) -> list[Projected]:
    """The tasks from the staged one on that close by `last`; the chore is left as it was.

    One that waits for being done has at most one, and only where it is staged: what follows is
    not known yet. `chore.area` must be loaded.
    """
    if chore.next_due is None or chore.next_opens is None or chore.next_closes is None:
        return []
    dues = [Due(chore.next_due, chore.next_opens, chore.next_closes)]
    if chore.repeat == Kind.RULE:
        dues = due_between(
            chore.as_repeat(calendar.week_start),
            first=chore.next_due,
            last=last + _PAST_THE_END,
            holidays=calendar.holidays,
            away=closed_days(chore, calendar),
        )
    members = _members(chore, calendar, dues)
    return [
        Projected(due.occurrence, due.opens, due.closes, member)
        for due, member in zip(dues, members, strict=True)
        if due.closes <= last
    ]


def _members(chore: Chore, calendar: Calendar, dues: list[Due]) -> list[int | None]:
    if chore.who != Who.TURNS or chore.next_member_id is None:
        return [chore.next_member_id] * len(dues)
    found: list[int | None] = []
    turning = copy(chore)
    for due in dues:
        following = member_for(turning, calendar, due) if found else None
        if following is not None:
            turning.next_member = following
        found.append(turning.next_member_id)
    return found

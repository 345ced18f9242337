"""Looking ahead: what is due beyond the tasks already written, by day and by week."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from household.calc import holidays
from household.calc.forecast import DueWindow, MemberTime, WeekLoad, forecast
from household.chores import queries as chore_queries
from household.chores.eligibility import eligible
from household.chores.hiding import seen_by
from household.chores.models import Chore, State, Task
from household.chores.projecting import projected
from household.chores.staging import Calendar, calendar_of
from household.feeds.queries import busy_by_day
from household.people.models import Household, Member
from household.people.queries import absences_of

WEEKS = 12


@dataclass(frozen=True, slots=True)
class Coming:
    """One task to come, written already or foreseen from its chore's rule."""

    name: str
    minutes: int
    opens: date
    closes: date
    member_id: int | None
    chore: Chore | None
    is_lead: bool = False  # a lead job of an occasion

    @property
    def any_day(self) -> bool:
        return self.opens != self.closes


def coming(
    household: Household,
    first: date,
    last: date,
    today: date,
    calendar: Calendar | None = None,
    viewer: Member | None = None,
) -> list[Coming]:
    """Tasks to do that close from `first` to `last`; late ones count for `today`.

    With a `viewer`, without what is kept from them.
    """
    chores = list(
        chore_queries.chores(household).select_related(
            "area__owner", "fixed", "next_member", "household"
        )
    )
    by_id = {chore.pk: chore for chore in chores}
    tasks = Task.objects.filter(household=household, state=State.OPEN, closes__lte=last, helper="")
    if viewer is not None:
        tasks = seen_by(tasks, viewer)
    columns = ("name", "minutes", "opens", "closes", "member_id", "chore_id", "lead__id")
    written = tasks.values_list(*columns)
    found = [
        Coming(name, minutes, opens, closes, member, by_id.get(chore or 0), lead is not None)
        for name, minutes, opens, closes, member, chore, lead in written
        if max(closes, today) >= first
    ]
    calendar = calendar or calendar_of(household, today)
    for chore in chores:
        found += _foreseen(chore, calendar, first, last)
    return sorted(found, key=lambda each: (each.closes, each.name))


def _foreseen(chore: Chore, calendar: Calendar, first: date, last: date) -> Iterable[Coming]:
    for due in projected(chore, calendar, last):
        if due.closes >= first:
            yield Coming(chore.name, chore.minutes, due.opens, due.closes, due.member_id, chore)


def loads(household: Household, today: date) -> tuple[WeekLoad, ...]:
    """Minutes due against minutes free for the next twelve weeks."""
    calendar = calendar_of(household, today)
    last = today + timedelta(weeks=WEEKS)
    busy = busy_by_day(household, today, last)
    people = [
        MemberTime(member.pk, member.free_minutes, absences_of(member), busy.get(member.pk, {}))
        for member in calendar.members
    ]
    may: dict[int, frozenset[int]] = {}
    everybody = frozenset(member.pk for member in calendar.members)

    def who(chore: Chore | None) -> frozenset[int]:
        if chore is None:
            return everybody
        if chore.pk not in may:
            may[chore.pk] = frozenset(m.pk for m in eligible(chore, calendar.members))
        return may[chore.pk]

    windows = [
        DueWindow(
            closes=max(each.closes, today),
            minutes=each.minutes,
            assignees=frozenset([each.member_id] if each.member_id else []),
            eligible=who(each.chore),
        )
        for each in coming(household, today, last, today, calendar)
    ]
    return forecast(people, windows, today=today, weeks=WEEKS, week_start=household.first_weekday)


def feasts(household: Household, first: date, last: date) -> dict[date, str]:
    return holidays.public_holidays(household.country, household.subdivision or None, first, last)

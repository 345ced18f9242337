"""A month at a glance, and a year of the seldom chores."""

from __future__ import annotations

import calendar as months
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.urls import reverse

from household.areas.models import Spotlight
from household.calc import free_time
from household.calc.busy import free_after
from household.calc.history import week_of
from household.calc.names import MONTHS
from household.calc.recurrence.repeat import Kind, due_between
from household.chores import queries as chore_queries
from household.chores.models import Chore
from household.feeds.happening import Happening, happenings
from household.feeds.queries import busy_of, foreign_events
from household.kit.dates import DateWords
from household.occasions.days import OnDay, in_good_time, on_days
from household.people.models import Household, Member
from household.people.queries import absences_of, members_with_absences
from household.week.ahead import Coming, coming, feasts
from household.week.models import MonthNote

# A chore that comes round less often than every so many days is worth a word on a month's page.
SELDOM_DAYS = 25
YEARLY_DAYS = 75
# Minutes taken by calendars, by member id and day.
Busy = Mapping[int, Mapping[date, int]]
UNIT_DAYS = {"days": 1, "weeks": 7, "months": 30}


@dataclass
class Day:
    """One day of the month's page."""

    day: date
    inside: bool
    is_today: bool
    due: int = 0
    free: int = 0
    holiday: str = ""
    away: list[str] = field(default_factory=list)
    seldom: list[str] = field(default_factory=list)
    on: Sequence[Happening] = ()
    occasions: Sequence[OnDay] = ()

    @property
    def heavy(self) -> bool:
        return self.due > self.free

    @property
    def bare(self) -> bool:
        """Nothing stands on it: a phone leaves it out."""
        told = self.due or self.holiday or self.occasions or self.on or self.away or self.seldom
        return not (told or self.heavy or self.is_today)

    @property
    def percent(self) -> str:
        if not self.free:
            return "100%" if self.due else "0%"
        return f"{min(100, round(100 * self.due / self.free))}%"


def month_page(
    household: Household, year: int, month: int, today: date, viewer: Member
) -> dict[str, Any]:
    first = date(year, month, 1)
    last = date(year, month, months.monthrange(year, month)[1])
    start = week_of(first, household.first_weekday)[0]
    end = week_of(last, household.first_weekday)[1]
    people = list(members_with_absences(household))
    events = foreign_events(household, start, end)
    busy = busy_of(events, household, start, end)
    days = {
        start + timedelta(days=n): _day(start + timedelta(days=n), first, last, today, people, busy)
        for n in range((end - start).days + 1)
    }
    for day, lines in happenings(events, start, end, household.zone).items():
        days[day].on = lines
    for day, name in feasts(household, start, end).items():
        days[day].holiday = name
    for day, found in on_days(household, start, end).items():
        days[day].occasions = found
    any_day: list[Coming] = []
    for each in coming(household, max(start, today), end, today, viewer=viewer):
        if each.any_day:
            any_day.append(each)
            continue
        on = days.get(max(each.closes, today))
        if on is not None:
            on.due += each.minutes
            if _is_seldom(each, SELDOM_DAYS):
                on.seldom.append(each.name)
    weeks = [list(days.values())[n : n + 7] for n in range(0, len(days), 7)]
    spotlight = Spotlight.objects.filter(household=household, month=first).first()
    note = MonthNote.objects.filter(household=household, month=first).first()
    return {
        "title": f"{MONTHS[month - 1]} {year}",
        "weeks": [
            {
                "days": week,
                "url": reverse("week:week", args=[household.pk, week[0].day]),
                "label": DateWords(household.date_order).short(week[0].day),
            }
            for week in weeks
        ],
        "heads": [f"{day.day:%a}" for day in weeks[0]],
        "any_day": [
            each
            for each in any_day
            if first <= each.closes <= last and not each.is_lead and _is_seldom(each, SELDOM_DAYS)
        ],
        "in_time": in_good_time(household, first, last, viewer, today),
        "spotlight": spotlight.area if spotlight else None,
        "note": note.notes if note else "",
        "heaviest": max(
            (day for day in days.values() if day.inside and day.day >= today),
            key=lambda day: day.due - day.free,
            default=None,
        ),
        "before": _month_url(household, first - timedelta(days=1)),
        "after": _month_url(household, last + timedelta(days=1)),
        "year_url": reverse("week:year", args=[household.pk, year]),
        "notes_url": reverse("week:month_notes", args=[household.pk, year, month]),
        "ahead_url": reverse("week:ahead", args=[household.pk]),
    }


def _month_url(household: Household, day: date) -> str:
    return reverse("week:month", args=[household.pk, day.year, day.month])


def _day(day: date, first: date, last: date, today: date, people: list[Member], busy: Busy) -> Day:
    free = sum(
        free_after(
            free_time.free_minutes(day, member.free_minutes, absences_of(member)),
            busy.get(member.pk, {}).get(day, 0),
        )
        for member in people
    )
    away = [m.name for m in people if free_time.is_away(day, absences_of(m))]
    return Day(day, first <= day <= last, day == today, free=free, away=away)


def _is_rare(chore: Chore, today: date) -> bool:
    """Whether it comes round only every few months."""
    if chore.repeat == Kind.AFTER_DONE:
        return chore.every * UNIT_DAYS[chore.unit] >= YEARLY_DAYS
    coming_year = due_between(chore.as_repeat(0), first=today, last=today + timedelta(days=365))
    return len(coming_year) <= 366 // YEARLY_DAYS


def _is_seldom(each: Coming, days: int) -> bool:
    chore = each.chore
    if chore is None or chore.repeat == Kind.ONCE:
        return True
    if chore.repeat == Kind.AFTER_DONE:
        return chore.every * UNIT_DAYS[chore.unit] >= days
    dues = due_between(
        chore.as_repeat(0), first=each.closes, last=each.closes + timedelta(days=days)
    )
    return len(dues) <= 1


@dataclass(frozen=True, slots=True)
class Strip:
    """A seldom chore's place in each month of a year: the month's short name, and the days in
    it that the chore falls on, as words ("" where there is none)."""

    name: str
    minutes: int
    url: str
    months: list[tuple[str, str]]


def year_page(household: Household, year: int, today: date) -> dict[str, Any]:
    first, last = date(year, 1, 1), date(year, 12, 31)
    heads = [name[:3] for name in MONTHS]
    strips: list[Strip] = []
    totals = [0] * 12
    for chore in chore_queries.chores(household):
        due = due_between(
            chore.as_repeat(household.first_weekday),
            first=first,
            last=last,
            last_done=chore.last_done_on,
        )
        if not due or not _is_rare(chore, today):
            continue
        by_month: dict[int, list[str]] = defaultdict(list)
        for each in due:
            any_day = each.opens != each.closes
            by_month[each.closes.month].append("any day" if any_day else str(each.closes.day))
            totals[each.closes.month - 1] += chore.minutes
        strips.append(
            Strip(
                chore.name,
                chore.minutes,
                reverse("chores:chore", args=[household.pk, chore.pk]),
                [(head, ", ".join(by_month[month])) for month, head in enumerate(heads, 1)],
            )
        )
    strips.sort(key=lambda strip: next((n for n, (_, text) in enumerate(strip.months) if text), 12))
    return {
        "year": year,
        "heads": heads,
        "strips": strips,
        "totals": list(zip(heads, totals, strict=True)),
        "fullest": MONTHS[totals.index(max(totals))] if any(totals) else "",
        "fullest_minutes": max(totals),
        "before": reverse("week:year", args=[household.pk, year - 1]),
        "after": reverse("week:year", args=[household.pk, year + 1]),
        "month_url": reverse(
            "week:month", args=[household.pk, year, today.month if year == today.year else 1]
        ),
    }

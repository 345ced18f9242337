"""Rhythms: when each area was last done, which weekdays are full, what is often left out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import (
    BooleanField,
    Count,
    ExpressionWrapper,
    F,
    Q,
    Sum,
)
from django.db.models.functions import Coalesce
from django.urls import reverse

from household.areas.models import CareLevel
from household.areas.queries import areas
from household.calc import free_time
from household.calc.names import DAYS
from household.chores.area_facts import last_done
from household.chores.models import Chore, State, Task
from household.kit.charts import Amount, BarChart, bar_chart
from household.kit.words import duration
from household.people.models import Household, Member
from household.people.queries import absences_of

AHEAD_WEEKS = 4
LATELY = timedelta(weeks=8)
OFTEN = 3
FEW = 5


@dataclass(frozen=True, slots=True)
class Cell:
    """Days since a level was reached ("today", "3", "never"), of the days set (or None)."""

    since: str
    of: int | None
    is_past: bool


@dataclass(frozen=True, slots=True)
class AreaRow:
    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Weekdays:
    """Minutes due and free on each weekday, as the average of the coming four weeks."""

    chart: BarChart
    fullest: str
    any_day: str


@dataclass(frozen=True, slots=True)
class Left:
    """A chore that was skipped or let go often lately."""

    name: str
    area: str
    words: str
    url: str


def area_rows(household: Household, today: date) -> list[AreaRow]:
    """Two queries, however many areas there are."""
    reached = last_done(household)
    return [
        AreaRow(
            name=area.name,
            cells=tuple(
                _cell(reached.get((area.pk, level)), getattr(area, f"{level}_days"), today)
                for level in CareLevel.values
            ),
        )
        for area in areas(household)
    ]


def _cell(done_on: date | None, of: int | None, today: date) -> Cell:
    if done_on is None:
        return Cell("never", of, False)
    days = max((today - done_on).days, 0)
    return Cell("today" if days == 0 else str(days), of, of is not None and days > of)


def weekdays(household: Household, members: Sequence[Member], today: date) -> Weekdays | None:
    """None while nothing is due. Days begin today and end four weeks on."""
    last = today + timedelta(days=7 * AHEAD_WEEKS - 1)
    due, any_day = _due(household, today, last)
    if not due and not any_day:
        return None
    order = [(household.first_weekday + step) % 7 for step in range(7)]
    free = _free(members, today, last)
    amounts = [
        Amount(DAYS[day], "", "ink", due[day] // AHEAD_WEEKS, free[day] // AHEAD_WEEKS)
        for day in order
    ]
    return Weekdays(
        chart=bar_chart(amounts),
        fullest=_fullest(amounts),
        any_day=(
            f"Beside this, {duration(any_day // AHEAD_WEEKS)} a week may be done on any day."
            if any_day >= AHEAD_WEEKS
            else ""
        ),
    )


def _fullest(amounts: Sequence[Amount]) -> str:
    most = max(amounts, key=lambda each: each.done - each.agreed)
    if most.done > most.agreed:
        return f"{most.name} is too full: {duration(most.done)} due, {duration(most.agreed)} free."
    return f"Every day has room. {most.name} has least: {duration(most.agreed - most.done)}."


def _due(household: Household, today: date, last: date) -> tuple[defaultdict[int, int], int]:
    rows = (
        Task.objects.filter(
            household=household, state=State.OPEN, opens__lte=last, closes__gte=today
        )
        .order_by()
        .annotate(
            on=Coalesce("day", "closes"),
            is_any_day=ExpressionWrapper(
                Q(day=None) & ~Q(opens=F("closes")), output_field=BooleanField()
            ),
        )
        .values_list("on", "is_any_day")
        .annotate(total=Sum("minutes"))
    )
    due: defaultdict[int, int] = defaultdict(int)
    any_day = 0
    for day, is_any_day, minutes in rows:
        if is_any_day:
            any_day += minutes
        elif today <= day <= last:
            due[day.weekday()] += minutes
    return due, any_day


def _free(members: Sequence[Member], today: date, last: date) -> defaultdict[int, int]:
    free: defaultdict[int, int] = defaultdict(int)
    for member in members:
        absences = absences_of(member)
        for step in range((last - today).days + 1):
            day = today + timedelta(days=step)
            free[day.weekday()] += free_time.free_minutes(day, member.free_minutes, absences)
    return free


def left_out(household: Household, today: date, *, changes: bool) -> list[list[Left]]:
    """Chores skipped or let go three times or more in eight weeks, most often first.

    The first few, and then the rest, if there are more.

    `changes`: whether the reader may change chores, and so is given the address.
    """
    skipped, lapsed = (Q(tasks__state=state) for state in (State.SKIPPED, State.LAPSED))
    chores = (
        Chore.objects.filter(
            household=household,
            archived_at=None,
            tasks__household=household,
            tasks__state__in=[State.SKIPPED, State.LAPSED],
            tasks__closes__gte=today - LATELY,
        )
        .annotate(skips=Count("tasks", filter=skipped), lapses=Count("tasks", filter=lapsed))
        .filter(Q(skips__gte=OFTEN) | Q(skips__gte=OFTEN - F("lapses")))
        .select_related("area")
        .order_by(-(F("lapses") + F("skips")), "id")
    )
    found = [
        Left(
            name=chore.name,
            area=chore.area.name,
            words=_left_words(chore.lapses, chore.skips),
            url=reverse("chores:change", args=[household.pk, chore.pk]) if changes else "",
        )
        for chore in chores
    ]
    return [some for some in (found[:FEW], found[FEW:]) if some]


def _left_words(lapses: int, skips: int) -> str:
    parts = [
        f"{words} {_times(count)}"
        for words, count in (("let go", lapses), ("skipped", skips))
        if count
    ]
    return ", ".join(parts)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")

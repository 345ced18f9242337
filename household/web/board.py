"""What the shared screen shows: everybody's day, what comes next, and the next seven days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.urls import reverse

from household.breathers.today import screen_lines
from household.calc.holidays import public_holidays
from household.chores.hiding import seen_by
from household.chores.models import State, Task
from household.chores.queries import day_tasks
from household.chores.rows import COLUMNS, RowMaker, TaskRow
from household.kit.dates import DateWords
from household.occasions.days import on_days
from household.people.models import Household
from household.web.day import on_today

WEEK = timedelta(days=6)
MOST_NEXT = 4
MOST_ANY_DAY = 4
Value = dict[str, Any]


@dataclass(frozen=True, slots=True)
class NextLine:
    """One line of the side column: when, what, whose (may be nobody's) and where to tick it."""

    when: str
    name: str
    member: str
    shape: str
    hue: str
    url: str


@dataclass(frozen=True, slots=True)
class DayList:
    title: str
    on: list[str]  # occasions and public holidays
    rows: list[TaskRow]


def row_maker(household: Household, today: date) -> RowMaker:
    """Rows whose address is the page that asks who did it."""
    return RowMaker(
        base=reverse("web:board_task", args=[household.pk, 0]).removesuffix("0/"),
        today=today,
        zone=household.zone,
        words=DateWords(household.date_order),
    )


def version(household: Household, now: datetime) -> str:
    """Changes whenever the board would, by an entry or by the hour: an ETag (RFC 9110, 8.8.3).

    What comes next hangs on the clock, so a quarter of an hour is the longest it stands.
    """
    local = now.astimezone(household.zone)
    quarter = f"{local:%Y-%m-%dT%H}-{local.minute // 15}"
    return f'"board-{household.pk}-{household.revision}-{quarter}"'


def board(household: Household, now: datetime) -> dict[str, Any]:
    """The context of web/_board.html."""
    today = household.today(now)
    maker = row_maker(household, today)
    tasks = seen_by(day_tasks(household, today), None)
    values = list(tasks.order_by("closes", "time", "id").values(*COLUMNS))
    taken = ("member_id", "helper")
    mine = [each for each in values if each["state"] == State.OPEN and any(each[n] for n in taken)]
    for_today = [each for each in mine if _is_today(each, today)]
    any_day = [each for each in mine if not _is_today(each, today)]
    pool = [
        each for each in values if each["state"] == State.OPEN and not any(each[n] for n in taken)
    ]
    done = [each for each in values if each["state"] == State.DONE]
    for_today.sort(key=lambda each: (each["closes"] >= today, *_clock(each)))
    done.sort(key=lambda each: each["done_at"], reverse=True)
    clock = now.astimezone(household.zone).time()
    later = [each for each in for_today if each["time"] and each["time"] >= clock]
    first, coming = next(iter(later), None), [*later[1:], *_timed(household, today)]
    return {
        "household": household,
        "day_words": maker.words.day(today),
        "on_today": on_today(household, today),
        "clock": f"{now.astimezone(household.zone):%H:%M}",
        "zone": household.time_zone,
        "first": _next_line(first, maker) if first else None,
        "next_lines": [_next_line(each, maker) for each in coming[:MOST_NEXT]],
        "any_day": [_next_line(each, maker) for each in any_day[:MOST_ANY_DAY]],
        "more_any_day": max(len(any_day) - MOST_ANY_DAY, 0),
        "rows": maker.rows([*for_today, *pool, *done]),
        "good": screen_lines(household, today),
        "left": len(for_today) + len(pool),
        "week_url": reverse("web:board_week", args=[household.pk]),
        "ask_url": reverse("requests:screen_ask", args=[household.pk]),
    }


def week(household: Household, now: datetime) -> dict[str, Any]:
    """The next seven days, each with its tasks, and what may be done on any of them."""
    today = household.today(now)
    maker = row_maker(household, today)
    tasks = Task.objects.filter(household=household, state=State.OPEN, opens__lte=today + WEEK)
    values = list(seen_by(tasks, None).order_by("closes", "time", "id").values(*COLUMNS))
    days = [today + timedelta(days=number) for number in range(7)]
    by_day: dict[date | None, list[Value]] = {day: [] for day in [*days, None]}
    for value in sorted(values, key=_clock):
        day = _day_of(value, today)
        if day in by_day and (day is not None or value["opens"] <= today):
            by_day[day].append(value)
    feasts = public_holidays(household.country, household.subdivision or None, today, days[-1])
    occasions = on_days(household, today, days[-1])
    lists = [
        DayList(
            maker.words.day(day),
            [*(each.words for each in occasions.get(day, ())), *filter(None, [feasts.get(day)])],
            maker.rows(by_day[day]),
        )
        for day in days
    ]
    lists.append(DayList("Any day", [], maker.rows(by_day[None])))
    return {
        "household": household,
        "days": [each for each in lists if each.rows or each.on],
        "board_url": reverse("web:board", args=[household.pk]),
    }


def _timed(household: Household, today: date) -> list[Value]:
    """Tasks of the next days that have an hour."""
    timed = Task.objects.filter(
        household=household,
        state=State.OPEN,
        time__isnull=False,
        closes__gt=today,
        closes__lte=today + WEEK,
    )
    found = seen_by(timed, None).order_by("closes", "time", "id")
    return list(found.values(*COLUMNS)[:MOST_NEXT])


def _is_today(value: Value, today: date) -> bool:
    day, closes = value["day"], value["closes"]
    return bool(closes <= today or (day is not None and day <= today))


def _day_of(value: Value, today: date) -> date | None:
    """The day a task stands on; none while it may still be any day."""
    if value["day"] is None and value["closes"] > today and value["opens"] != value["closes"]:
        return None
    planned: date = value["day"] or value["closes"]
    return max(planned, today)


def _clock(value: Value) -> tuple[bool, str, date, int]:
    return value["time"] is None, str(value["time"] or ""), value["closes"], value["id"]


def _next_line(value: Value, maker: RowMaker) -> NextLine:
    row = maker.row(value)
    near = maker.words.near(value["closes"], maker.today)
    if value["time"] and value["closes"] <= maker.today:
        when = f"{value['time']:%H:%M}"
    elif value["time"]:
        when = f"{near[0].upper()}{near[1:]}, {value['time']:%H:%M}"
    else:
        when = f"by {near}"
    return NextLine(when, row.name, row.member, row.shape, row.hue, row.url)

"""The nominal dates of a repeat: season applied, holidays and absences not yet."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

from household.calc.recurrence.dates import between, next_on_or_after
from household.calc.recurrence.kinds import Kind, Repeat, Unit
from household.calc.recurrence.model import Rule
from household.calc.recurrence.rules import last_day, parse

ONE_DAY = timedelta(days=1)
# Each try goes on to another month of the season; 400 years of a yearly rule come back the same.
_SEASON_TRIES = 401


def next_nominal(
    repeat: Repeat, *, after: date | None, last_done: date | None = None
) -> date | None:
    """The next nominal date later than `after` (None: from the start); None if there is none.

    Kind.AFTER_DONE counts from `last_done`, or begins on the start while that is None; never
    done in time, it comes on the day after `after`, since each nominal date is a new one.
    """
    if after == date.max:
        return None
    earliest = repeat.start if after is None else after + ONE_DAY
    if repeat.kind is Kind.ONCE:
        return next(iter(nominal_between(repeat, earliest, date.max)), None)
    if repeat.kind is Kind.AFTER_DONE:
        base = repeat.start if last_done is None else add(last_done, repeat.every, repeat.unit)
        return None if base is None else _into_season(repeat, max(base, earliest))
    return _next_by_rule(repeat, max(earliest, repeat.start))


def nominal_between(repeat: Repeat, first: date, last: date) -> list[date]:
    """The nominal dates from `first` to `last` of a repeat by rule, or of one that comes once."""
    if repeat.kind is Kind.ONCE:
        return [repeat.start] if first <= repeat.start <= last else []
    rule, end = endless(repeat)
    found = between(rule, start=repeat.start, first=first, last=min(last, end))
    return [on for on in found if on.month in repeat.months]


def endless(repeat: Repeat) -> tuple[Rule, date]:
    """The repeat's rule without its end, and the day it ends on (`date.max`: never)."""
    return _endless(repeat.rule, repeat.start, repeat.months)


@lru_cache(maxsize=8192)
def _endless(text: str, start: date, months: frozenset[int]) -> tuple[Rule, date]:
    rule = parse(text)
    return replace(rule, count=None, until=None), last_day(rule, start, months)


def _next_by_rule(repeat: Repeat, day: date) -> date | None:
    rule, end = endless(repeat)
    for _ in range(_SEASON_TRIES):
        on = next_on_or_after(rule, start=repeat.start, day=day)
        if on is None or on > end:
            return None
        if on.month in repeat.months:
            return on
        in_season = _into_season(repeat, on)
        if in_season is None:
            return None
        day = in_season
    return None


def _into_season(repeat: Repeat, day: date) -> date | None:
    """The day itself if its month is on, else the first day of the next month that is."""
    if day.month in repeat.months:
        return day
    for first in _months_after(day):
        if first.month in repeat.months:
            return first
    return None


def _months_after(day: date) -> Iterator[date]:
    """The first days of the twelve months after that of `day`."""
    first: date | None = day.replace(day=1)
    for _ in range(12):
        first = first and add(first, 1, Unit.MONTHS)
        if first is not None:
            yield first


def add(day: date, number: int, unit: Unit) -> date | None:
    """`day` plus `number` units; a month that is too short gives its last day.

    None beyond the year 9999. 31 January plus one month is 28 or 29 February.
    """
    try:
        if unit is Unit.MONTHS:
            year, month = divmod(12 * day.year + day.month - 1 + number, 12)
            return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
        return day + timedelta(days=number * (7 if unit is Unit.WEEKS else 1))
    except (ValueError, OverflowError):
        return None

"""Days that come round once a year: birthdays, feasts that move, events, and what leads up to them.

A rule gives at most one day a year. Easter-based days, the nth weekday of a month and the
weekday next to a date are the three ways in which feasts move; a day may besides be shifted off
a weekend. All days are local dates, so changes of the clock do not touch them.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from household.calc.holidays import easter_sunday

LAST_YEAR = 9998
_DAY = timedelta(days=1)


class Sort(StrEnum):
    """How the day of a year is found."""

    YEARLY = "yearly"
    ONCE = "once"
    EASTER = "easter"
    NTH = "nth"
    NEAR = "near"


class Leap(StrEnum):
    """Where 29 February is kept in a common year. Common practice differs; no source."""

    FEBRUARY = "feb28"
    MARCH = "mar1"


class Off(StrEnum):
    """What happens to a day that falls on a Saturday or Sunday."""

    KEEP = "keep"
    MONDAY = "monday"  # both to the Monday after, as bank holidays in the United Kingdom
    NEAREST = "nearest"  # to Friday or Monday, as 5 U.S.C. 6103(b) and its practice have it
    FRIDAY = "friday"  # both to the Friday before


class Side(StrEnum):
    BEFORE = "before"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class DayRule:
    """One day a year, or one day only.

    month, day: of the date (YEARLY, ONCE, NEAR); day is not used by NTH, both not by EASTER.
    year: the day's own year (ONCE); for the rest the first year in which it happens, or None.
    offset: days after Easter Sunday, negative before it. nth: 1 to 4, or -1 for the last.
    weekday: 0 is Monday. side: whether NEAR looks on or before, or on or after, its date.
    """

    sort: Sort = Sort.YEARLY
    month: int = 1
    day: int = 1
    year: int | None = None
    offset: int = 0
    orthodox: bool = False
    nth: int = 1
    weekday: int = 0
    side: Side = Side.BEFORE
    off: Off = Off.KEEP


@dataclass(frozen=True, slots=True)
class Falls:
    """One day of a rule. `year` is the year it belongs to, also where a shift left that year."""

    year: int
    day: date


def in_year(rule: DayRule, year: int, leap: Leap = Leap.FEBRUARY) -> date | None:
    """The rule's day of that year, shifted off a weekend where it says so; None without one."""
    if not 1583 <= year <= LAST_YEAR:
        return None
    if rule.sort == Sort.ONCE and year != rule.year:
        return None
    if rule.year is not None and year < rule.year:
        return None
    return _off_weekend(_nominal(rule, year, leap), rule.off)


def between(rule: DayRule, first: date, last: date, leap: Leap = Leap.FEBRUARY) -> Iterator[Falls]:
    """The days from `first` to `last`, both included, in order.

    A shift off a weekend, or a count from Easter, may carry a day into the year beside its own.
    """
    for year in range(first.year - 1, last.year + 2):
        day = in_year(rule, year, leap)
        if day is not None and first <= day <= last:
            yield Falls(year, day)


def next_on(rule: DayRule, day: date, leap: Leap = Leap.FEBRUARY) -> Falls | None:
    """The first day of the rule on `day` or after it; None when it is over for good."""
    begins = max(day.year - 1, rule.year or 0)
    for year in range(begins, begins + 4):
        found = in_year(rule, year, leap)
        if found is not None and found >= day:
            return Falls(year, found)
    return None


def lead_window(day: date, days_before: int, window_days: int) -> tuple[date, date]:
    """The first and last day of a lead job: it ends `days_before` the occasion."""
    closes = day - days_before * _DAY
    return closes - (window_days - 1) * _DAY, closes


def is_date(month: int, day: int, year: int | None = None) -> bool:
    """Whether there is such a date; without a year, 29 February is one."""
    try:
        date(2000 if year is None else year, month, day)
    except ValueError:
        return False
    return True


def _nominal(rule: DayRule, year: int, leap: Leap) -> date:
    if rule.sort == Sort.EASTER:
        return easter_sunday(year, orthodox=rule.orthodox) + rule.offset * _DAY
    if rule.sort == Sort.NTH:
        return _nth_weekday(year, rule.month, rule.weekday, rule.nth)
    day = _on_date(year, rule.month, rule.day, leap)
    if rule.sort == Sort.NEAR:
        if rule.side == Side.BEFORE:
            return day - ((day.weekday() - rule.weekday) % 7) * _DAY
        return day + ((rule.weekday - day.weekday()) % 7) * _DAY
    return day


def _on_date(year: int, month: int, day: int, leap: Leap) -> date:
    if (month, day) == (2, 29) and not calendar.isleap(year):
        return date(year, 2, 28) if leap == Leap.FEBRUARY else date(year, 3, 1)
    return date(year, month, day)


def _nth_weekday(year: int, month: int, weekday: int, nth: int) -> date:
    if nth > 0:
        first = date(year, month, 1)
        return first + ((weekday - first.weekday()) % 7 + 7 * (nth - 1)) * _DAY
    last = date(year, month, calendar.monthrange(year, month)[1])
    return last - ((last.weekday() - weekday) % 7) * _DAY


def _off_weekend(day: date, off: Off) -> date:
    past_friday = day.weekday() - 4  # 1 on Saturday, 2 on Sunday
    if off == Off.KEEP or past_friday < 1:
        return day
    if off == Off.FRIDAY or (off == Off.NEAREST and past_friday == 1):
        return day - past_friday * _DAY
    return day + (3 - past_friday) * _DAY

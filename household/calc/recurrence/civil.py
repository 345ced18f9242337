"""The Gregorian calendar in day numbers (`date.toordinal`: 1 January of year 1 is 1, a Monday).

Plain arithmetic, so that a week that begins in year 0 or ends in year 10000 needs no care.
"""

from __future__ import annotations

from datetime import date

FIRST_DAY = date.min.toordinal()
LAST_DAY = date.max.toordinal()
_BEFORE_MONTH = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365)

Span = tuple[int, int]
"""A first day number and a length in days."""


def leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def new_year(year: int) -> int:
    """The day number of 1 January."""
    before = year - 1
    return 365 * before + before // 4 - before // 100 + before // 400 + 1


def year_span(year: int) -> Span:
    return new_year(year), 366 if leap(year) else 365


def month_span(year: int, month: int) -> Span:
    leap_day = leap(year)
    first = new_year(year) + _BEFORE_MONTH[month - 1] + (leap_day and month > 2)
    length = _BEFORE_MONTH[month] - _BEFORE_MONTH[month - 1] + (leap_day and month == 2)
    return first, length


def weekday(day: int) -> int:
    """Monday = 0."""
    return (day - 1) % 7


def week_index(day: int, week_start: int) -> int:
    """Weeks counted through, each beginning on `week_start`."""
    return (day - 1 - week_start) // 7


def week_first(index: int, week_start: int) -> int:
    return 7 * index + 1 + week_start


def numbered_weeks(year: int, week_start: int) -> tuple[int, int]:
    """First day of the year's week 1, and how many weeks that year has (52 or 53).

    Week 1 is the first with at least four days in the year, thus the one that holds
    4 January: ISO 8601 for weeks that begin on Monday, RFC 5545 3.3.10 for any other WKST.
    """
    first, following = (
        week_first(week_index(new_year(y) + 3, week_start), week_start) for y in (year, year + 1)
    )
    return first, (following - first) // 7

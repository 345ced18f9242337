"""Weeks as the household counts them, for looking back and ahead.

A week begins on the household's first day (0 is Monday). Its number is the ISO 8601 number of
its Thursday: exact where weeks begin on Monday, and elsewhere the one that most of its days
have.
"""

from datetime import date, timedelta

from household.calc.names import MONTHS

_THURSDAY = 3


def week_of(day: date, week_start: int = 0) -> tuple[date, date]:
    """First and last day of the week that holds `day`. week_start: 0 is Monday."""
    if not 0 <= week_start <= 6:
        raise ValueError("A week starts on a day from 0, Monday, to 6, Sunday.")
    first = day - timedelta(days=(day.weekday() - week_start) % 7)
    return first, first + timedelta(days=6)


def weeks_back(today: date, n: int, week_start: int = 0) -> tuple[tuple[date, date], ...]:
    """The first and last days of `n` weeks, oldest first; the last holds `today`."""
    first, last = week_of(today, week_start)
    return tuple(
        (first - timedelta(weeks=ago), last - timedelta(weeks=ago)) for ago in range(n - 1, -1, -1)
    )


def iso_label(day: date) -> str:
    """The ISO 8601 week of a day, as in 2026-W53. Its year is not always the day's."""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02}"


def week_number_words(day: date, week_start: int = 0) -> str:
    """The number of the household's week that holds `day`, as in "Week 53 of 2026"."""
    year, week, _ = _thursday(day, week_start).isocalendar()
    return f"Week {week} of {year}"


def day_words(day: date) -> str:
    """Day and month, as in "7 December"."""
    return f"{day.day} {MONTHS[day.month - 1]}"


def _thursday(day: date, week_start: int) -> date:
    first, _ = week_of(day, week_start)
    return first + timedelta(days=(_THURSDAY - week_start) % 7)

"""What other rooms have to say about the days of a week.

A room below this one is called from here; a room above adds its callable to `DAY_LINES` when the
app is ready. Each callable is asked once a page, and does its reading in a fixed count of queries.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from household.feeds.happening import happenings
from household.feeds.queries import foreign_events
from household.occasions.days import on_days
from household.people.models import Household


@dataclass(frozen=True, slots=True)
class DayLine:
    """One thing on one day, in words, with an address where there is more to see."""

    words: str
    url: str = ""
    private: bool = False  # seen by whoever looks only, and so not printed


@dataclass(frozen=True, slots=True)
class DayLines:
    """A row of the week's table, under the people: "Supper" with a dish on each day."""

    title: str
    by_day: Mapping[date, Sequence[DayLine]]


DAY_LINES: list[Callable[[Household, Sequence[date]], DayLines | None]] = []


def _occasions(household: Household, days: Sequence[date]) -> DayLines:
    by_day = on_days(household, days[0], days[-1])
    return DayLines(
        "Occasions",
        {day: [DayLine(each.words, each.url) for each in found] for day, found in by_day.items()},
    )


@dataclass(frozen=True, slots=True)
class ExtraRow:
    title: str
    cells: list[Sequence[DayLine]]


def extra_rows(household: Household, days: Sequence[date]) -> list[ExtraRow]:
    """The rows of all rooms that have something to say about these days."""
    found = [ask(household, days) for ask in (_occasions, calendar_lines, *DAY_LINES)]
    return [
        ExtraRow(lines.title, [lines.by_day.get(day, ()) for day in days])
        for lines in found
        if lines is not None and any(lines.by_day.values())
    ]


def calendar_lines(household: Household, days: Sequence[date]) -> DayLines:
    """What the calendars taken in say."""
    events = foreign_events(household, days[0], days[-1])
    by_day = happenings(events, days[0], days[-1], household.zone)
    return DayLines(
        "Calendars", {day: [DayLine(each.words) for each in on] for day, on in by_day.items()}
    )

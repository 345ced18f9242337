"""How much of a day's waking time is taken by events."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from household.calc.recurrence.zone import attach


@dataclass(frozen=True, slots=True)
class Waking:
    """The hours in which anything can be done, on the household's clock."""

    starts: time
    ends: time


# Common practice, no source: a day from seven in the morning to ten at night.
WAKING: Final = Waking(time(7), time(22))


@dataclass(frozen=True, slots=True)
class Span:
    """An event from the local day `first` to `last`; the moments are None for whole days."""

    first: date
    last: date
    starts_at: datetime | None = None
    ends_at: datetime | None = None


def busy_minutes(day: date, spans: Iterable[Span], waking: Waking, zone: str) -> int:
    """Minutes of the day's waking time that the spans take, those that overlap counted once.

    A whole-day event takes all of it. A begun minute counts as a minute.
    """
    opens = attach(datetime.combine(day, waking.starts), zone).astimezone(UTC)
    closes = attach(datetime.combine(day, waking.ends), zone).astimezone(UTC)
    taken = timedelta()
    reached = opens
    for starts, ends in sorted(_within(day, spans, opens, closes)):
        if ends > reached:
            taken += ends - max(starts, reached)
            reached = ends
    return -(-taken // timedelta(minutes=1))


def _within(
    day: date, spans: Iterable[Span], opens: datetime, closes: datetime
) -> Iterable[tuple[datetime, datetime]]:
    for span in spans:
        if not span.first <= day <= span.last:
            continue
        starts = opens if span.starts_at is None else max(span.starts_at, opens)
        ends = closes if span.ends_at is None else min(span.ends_at, closes)
        if ends > starts:
            yield starts, ends


def free_after(free: int, busy: int) -> int:
    """What is left of the free minutes; a day is never less than full."""
    return max(0, free - busy)

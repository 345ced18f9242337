"""From local wall time to moments, with the standard library's zones."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo


def attach(naive: datetime, tz: str) -> datetime:
    """The moment of a wall time in zone `tz`, shown in that zone (RFC 5545 section 3.3.5).

    A time that comes twice, when clocks go back, is the first of the two. A time that clocks
    skip is read with the offset from before the gap: 02:30 becomes 03:30 that day. RFC 5545
    3.3.10 says once that such a time is left out and once that it is read like this; this one
    is chosen, so that no task is lost.
    """
    if naive.tzinfo is not None:
        raise ValueError("attach takes local wall time without a zone")
    zone = ZoneInfo(tz)
    # By way of UTC, since a skipped time keeps its face until it is converted.
    return naive.replace(tzinfo=zone, fold=0).astimezone(UTC).astimezone(zone)


def local_today(now: datetime, tz: str) -> date:
    """The calendar day it is in zone `tz` at the moment `now` (aware)."""
    if now.tzinfo is None:
        raise ValueError("local_today takes a moment with its zone")
    return now.astimezone(ZoneInfo(tz)).date()

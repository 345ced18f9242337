"""Reads other people's calendars: what is refused, and which times of which days are taken.

The text may be anything at all, so this runs in a process of its own with limits of time and
memory (`feeds.reading`). Sources: RFC 5545 (IETF 2009); the limits are our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import recurring_ical_events
from icalendar import Calendar, Event, vDDDLists, vDDDTypes, vRecur

from household.calc.recurrence.zone import attach

MOST_BYTES: Final = 2 * 1024 * 1024
MOST_COMPONENTS: Final = 5_000
MOST_RULES: Final = 500
MOST_TIMES: Final = 5_000
MOST_DATES: Final = 1_000
MOST_A_DAY: Final = 4
MOST_EVENTS: Final = 5_000
TITLE: Final = 200
_ONE_DAY: Final = timedelta(days=1)

_BEGIN: Final = re.compile(rb"^BEGIN:", re.IGNORECASE | re.MULTILINE)
_START: Final = b"BEGIN:VCALENDAR"
_BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"
_OFTEN: Final = {"SECONDLY", "MINUTELY", "HOURLY"}
_KNOWN: Final = {*_OFTEN, "DAILY", "WEEKLY", "MONTHLY", "YEARLY"}
_FREE: Final = {"FREE", "WORKINGELSEWHERE"}


class CalendarRefused(Exception):
    """The text is not taken; the message is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class ForeignEvent:
    """`first` and `last` are local days; the moments (UTC) are None for whole days."""

    first: date
    last: date
    starts_at: datetime | None
    ends_at: datetime | None
    busy: bool
    title: str


@dataclass(frozen=True, slots=True)
class Reading:
    """The events within the days that were asked for, and what was taken with a grain of salt."""

    events: tuple[ForeignEvent, ...]
    notes: tuple[str, ...]


def check_text(content: bytes) -> bytes:
    """The calendar's own bytes, or a refusal; cheap enough for any thread."""
    if len(content) > MOST_BYTES:
        raise CalendarRefused("This calendar is larger than 2 MB, which is more than is taken.")
    text = content.removeprefix(_BYTE_ORDER_MARK).lstrip()
    if not text[: len(_START)].upper() == _START:
        raise CalendarRefused(
            "This is not a calendar: it does not begin with BEGIN:VCALENDAR. "
            "Is it the address of a web page?"
        )
    if len(_BEGIN.findall(text)) > MOST_COMPONENTS:
        raise CalendarRefused(
            f"This calendar has more than {MOST_COMPONENTS} entries, which is more than is taken."
        )
    return text


def read_calendar(
    content: bytes, *, zone: str, first: date, last: date, titles: bool = True
) -> Reading:
    """The events from `first` to `last`, repeats worked out, in the order of their start.

    zone: the household's own, for times without one. Raises CalendarRefused.
    """
    calendars = _parse(check_text(content))
    walked = (each for calendar in calendars for each in calendar.walk("VEVENT"))
    events = [each for each in walked if isinstance(each, Event)]
    _check_rules(events)
    notes = [note for note in (_broken_note(events), _zone_note(events)) if note]
    found: list[ForeignEvent] = []
    for calendar in calendars:
        for event in _expanded(calendar, first, last):
            taken = _taken(event, zone, titles)
            if taken is not None and taken.first <= last and taken.last >= first:
                found.append(taken)
            if len(found) > MOST_EVENTS:
                raise CalendarRefused(
                    f"This calendar has more than {MOST_EVENTS} events in a year, "
                    "which is more than is taken."
                )
    found.sort(key=lambda event: (event.first, event.starts_at or _EARLY, event.title))
    return Reading(tuple(found), tuple(notes))


_EARLY: Final = datetime(1, 1, 1, tzinfo=UTC)


def _parse(content: bytes) -> list[Calendar]:
    text = content.decode("utf-8", errors="replace")
    try:
        found = Calendar.from_ical(text, multiple=True)
    except (ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError):
        raise CalendarRefused(
            "This calendar is broken: its text could not be read to the end."
        ) from None
    calendars = [each for each in found if isinstance(each, Calendar)]
    if not calendars:
        raise CalendarRefused("This calendar is broken: it begins and does not end.")
    return calendars


def _expanded(calendar: Calendar, first: date, last: date) -> Iterator[Event]:
    """Repeats worked out; a series that cannot be is left out."""
    try:
        yield from recurring_ical_events.of(
            calendar, components=["VEVENT"], skip_bad_series=True
        ).between(first, last + _ONE_DAY)
    except (ValueError, OverflowError, KeyError, TypeError, AttributeError, RecursionError):
        raise CalendarRefused(
            "This calendar is broken: the dates of its events could not be worked out."
        ) from None


# Rules ---------------------------------------------------------------------------------------


def _check_rules(events: list[Event]) -> None:
    """Refuse what would take for ever, before anything is worked out."""
    rules = [rule for event in events for rule in _listed(event, "RRULE", "EXRULE")]
    if len(rules) > MOST_RULES:
        raise CalendarRefused(
            f"This calendar has more than {MOST_RULES} repeating events, which is more than "
            "is taken."
        )
    for rule in rules:
        if isinstance(rule, vRecur):  # a broken one is noted, and its series left out
            _check_rule(rule)
    for event in events:
        listed = _listed(event, "RDATE", "EXDATE")
        dates = sum(len(each.dts) for each in listed if isinstance(each, vDDDLists))
        if dates > MOST_DATES:
            raise CalendarRefused(
                f"An event in this calendar lists more than {MOST_DATES} single dates, "
                "which is more than is taken."
            )


def _check_rule(rule: vRecur) -> None:
    often = {str(each).upper() for each in _as_list(rule.get("FREQ"))}
    if often & _OFTEN:
        raise CalendarRefused(
            "An event in this calendar repeats every hour or more often. Daily is the most "
            "that is taken."
        )
    if not often <= _KNOWN:
        raise CalendarRefused("An event in this calendar repeats in a way that is not known.")
    if any(_number(each) < 1 for each in _as_list(rule.get("INTERVAL"))):
        raise CalendarRefused(
            "An event in this calendar repeats every 0 days: it would never get on."
        )
    if any(_number(each) > MOST_TIMES for each in _as_list(rule.get("COUNT"))):
        raise CalendarRefused(
            f"An event in this calendar repeats more than {MOST_TIMES} times, which is more "
            "than is taken."
        )
    a_day = 1
    for part in ("BYHOUR", "BYMINUTE", "BYSECOND"):
        a_day *= max(1, len(_as_list(rule.get(part))))
    if a_day > MOST_A_DAY:
        raise CalendarRefused(
            f"An event in this calendar repeats more than {MOST_A_DAY} times a day, which is "
            "more than is taken."
        )


def _listed(event: Event, *names: str) -> list[Any]:
    return [each for name in names for each in _as_list(event.get(name))]


def _as_list(value: Any) -> list[Any]:
    if value is None:
        return []
    return list(value) if isinstance(value, (list, tuple)) else [value]


def _number(value: Any) -> int:
    try:
        return int(value)
    except (TypeError, ValueError):
        return 0


# Events --------------------------------------------------------------------------------------


def _taken(event: Event, zone: str, titles: bool) -> ForeignEvent | None:
    """None for what was called off, and for what has no start that can be read."""
    starts, ends = _ends(event)
    if starts is None or _upper(event, "STATUS") == "CANCELLED":
        return None
    busy = (
        _upper(event, "TRANSP") != "TRANSPARENT"
        and _upper(event, "X-MICROSOFT-CDO-BUSYSTATUS") not in _FREE
    )
    title = " ".join(str(event.get("SUMMARY", "")).split())[:TITLE] if titles else ""
    if not isinstance(starts, datetime):
        last = ends if ends is not None and not isinstance(ends, datetime) else starts + _ONE_DAY
        return ForeignEvent(starts, max(last - _ONE_DAY, starts), None, None, busy, title)
    begins = _moment(starts, zone)
    over = _moment(ends, zone) if isinstance(ends, datetime) else begins
    over = max(over, begins)
    home = ZoneInfo(zone)
    # An event that ends at midnight does not reach into the next day.
    reach = over if over == begins else over - timedelta(microseconds=1)
    local = (begins.astimezone(home).date(), reach.astimezone(home).date())
    return ForeignEvent(*local, begins, over, busy, title)


def _ends(event: Event) -> tuple[date | None, date | None]:
    starts = event.get("DTSTART")
    if not isinstance(starts, vDDDTypes) or not isinstance(starts.dt, date):
        return None, None
    try:
        ends: Any = event.end
    except (ValueError, KeyError, AttributeError, TypeError, OverflowError):
        ends = None
    return starts.dt, ends if isinstance(ends, date) else None


def _moment(at: datetime, zone: str) -> datetime:
    """A time without a zone, or with one that nobody knows, is the household's own."""
    return (at if at.tzinfo is not None else attach(at, zone)).astimezone(UTC)


def _upper(event: Event, name: str) -> str:
    return str(event.get(name, "")).strip().upper()


# Notes ---------------------------------------------------------------------------------------


def _broken_note(events: list[Event]) -> str:
    count = sum(1 for event in events if any(name in _DATES for name, _ in event.errors))
    if not count:
        return ""
    what = "One event has a date" if count == 1 else f"{count} events have dates"
    return f"{what} that cannot be read, and may be left out."


_DATES: Final = {"DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID"}


def _zone_note(events: list[Event]) -> str:
    """Names the zones that are neither in the file nor known, as their times lack one."""
    unknown = set()
    for event in events:
        starts = event.get("DTSTART")
        name = starts.params.get("TZID") if isinstance(starts, vDDDTypes) else None
        if name and isinstance(starts.dt, datetime) and starts.dt.tzinfo is None:
            unknown.add(str(name)[:40])
    if not unknown:
        return ""
    names = ", ".join(f"“{name}”" for name in sorted(unknown)[:3])
    return f"Times in {names} are taken as this household’s own: that time zone is not known."

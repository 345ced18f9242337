"""The text of calendar events and to-dos (RFC 5545), and of the calendar around them.

Dates, moments and durations are icalendar's own. The lines are put together here, since an
`Event` object for each costs seven times as much and says no more; a test holds the text
against icalendar's own objects. Folding is here, since icalendar's goes letter by letter, which
took half of the time; and escaping, since icalendar 7.3 takes the backslash and N of "C:\\New"
for a line break.

Source: RFC 5545 (IETF 2009), RFC 7986 (IETF 2016), and common practice of calendar programs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, Final

from icalendar import vDate, vDatetime, vDuration

PRODID: Final = "-//Evenhouse//Evenhouse//EN"
REFRESH: Final = timedelta(hours=1)
_DAY: Final = timedelta(days=1)
MOST_OCTETS: Final = 75  # of a line, its end not counted
# Characters that neither RFC 5545 (control characters) nor XML-minded programs can take.
_CONTROLS: Final = dict.fromkeys((*range(0, 9), 11, 12, *range(14, 32), 127, *range(55296, 57344)))


@dataclass(frozen=True, slots=True)
class Alarms:
    """When a calendar program may remind: at a time of the day, and before a timed event."""

    at: time | None = None
    minutes: int | None = None


NO_ALARMS: Final = Alarms()


@dataclass(frozen=True, slots=True)
class EventFacts:
    """What an event says. Moments are aware; `day` is the household's own.

    `by` is the moment at which a timed event ends, None for one of the whole day; `minutes` its
    length. `days` is how many whole days it lasts. `sequence` must grow with every change of
    the rest. `done_at` is None until ticked.
    """

    uid: str
    changed_at: datetime
    sequence: int
    summary: str
    day: date
    minutes: int
    days: int = 1
    by: datetime | None = None
    description: str = ""
    category: str = ""
    url: str = ""
    done: bool = False
    done_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CalendarFacts:
    uid: str
    name: str
    color: str = ""  # a CSS3 colour name, as RFC 7986 wants it


def event_text(facts: EventFacts, alarms: Alarms = NO_ALARMS) -> str:
    """One VEVENT, from BEGIN to END, lines ended by CRLF and folded to 75 octets."""
    return "".join(
        (
            "BEGIN:VEVENT\r\n",
            _common(facts),
            _span(facts),
            "TRANSP:TRANSPARENT\r\nX-MICROSOFT-CDO-BUSYSTATUS:FREE\r\n",
            "" if facts.done else _alarm(facts, alarms),
            "END:VEVENT\r\n",
        )
    )


def todo_text(facts: EventFacts) -> str:
    """The same as a VTODO, under a UID of its own."""
    due = _moment("DUE", facts.by) if facts.by else _days("DUE", facts.day)
    state = "STATUS:NEEDS-ACTION\r\n"
    if facts.done:
        state = "STATUS:COMPLETED\r\nPERCENT-COMPLETE:100\r\n"
        if facts.done_at is not None:
            state += _moment("COMPLETED", facts.done_at)
    return "".join(("BEGIN:VTODO\r\n", _common(facts, suffix="-todo"), due, state, "END:VTODO\r\n"))


def calendar_text(facts: CalendarFacts, components: Iterable[str]) -> bytes:
    """The whole file. REFRESH-INTERVAL needs VALUE=DURATION (RFC 7986 section 5.7)."""
    every = _ical(vDuration(REFRESH))
    head = "".join(
        (
            "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n",
            _line(f"PRODID:{PRODID}"),
            "CALSCALE:GREGORIAN\r\nMETHOD:PUBLISH\r\n",
            _text("UID", facts.uid),
            _text("NAME", facts.name),
            _text("X-WR-CALNAME", facts.name),
            f"COLOR:{facts.color}\r\n" if facts.color else "",
            f"REFRESH-INTERVAL;VALUE=DURATION:{every}\r\nX-PUBLISHED-TTL:{every}\r\n",
        )
    )
    return "".join((head, *components, "END:VCALENDAR\r\n")).encode()


def _common(facts: EventFacts, suffix: str = "") -> str:
    stamp = _utc(facts.changed_at)
    return "".join(
        (
            _line(f"UID:{facts.uid}{suffix}"),
            f"DTSTAMP:{stamp}\r\nLAST-MODIFIED:{stamp}\r\nSEQUENCE:{facts.sequence}\r\n",
            _text("SUMMARY", facts.summary),
            _text("DESCRIPTION", facts.description) if facts.description else "",
            _text("CATEGORIES", facts.category) if facts.category else "",
            _line(f"URL:{facts.url}") if facts.url else "",
        )
    )


def _span(facts: EventFacts) -> str:
    """A day whose DTEND is the next day, since the end is not part of the event; or a time."""
    if facts.by is None:
        return _days("DTSTART", facts.day) + _days("DTEND", facts.day + facts.days * _DAY)
    starts = facts.by - timedelta(minutes=facts.minutes)
    return _moment("DTSTART", starts) + _moment("DTEND", facts.by)


def _alarm(facts: EventFacts, alarms: Alarms) -> str:
    trigger: timedelta | None = None
    if facts.by is not None and alarms.minutes is not None:
        trigger = -timedelta(minutes=alarms.minutes)
    elif facts.by is None and alarms.at is not None:
        trigger = timedelta(hours=alarms.at.hour, minutes=alarms.at.minute)
    if trigger is None:
        return ""
    value = _ical(vDuration(trigger))
    return "".join(
        (
            "BEGIN:VALARM\r\nACTION:DISPLAY\r\n",
            f"TRIGGER:{value}\r\n",
            _text("DESCRIPTION", facts.summary),
            "END:VALARM\r\n",
        )
    )


def _text(name: str, value: str) -> str:
    return _line(f"{name}:{_escaped(value)}")


@lru_cache(maxsize=4096)
def _escaped(value: str) -> str:
    """RFC 5545 section 3.3.11: a backslash before backslash, semicolon and comma; \\n."""
    clean = value.translate(_CONTROLS).replace("\r\n", "\n").replace("\r", "\n")
    return clean.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _line(content: str) -> str:
    """Ended by CRLF, and folded where it is longer than 75 octets (RFC 5545 section 3.1)."""
    if len(content) <= MOST_OCTETS and content.isascii():
        return content + "\r\n"
    octets = content.encode()
    parts, begin, room = [], 0, MOST_OCTETS
    while len(octets) - begin > room:
        end = begin + room
        while octets[end] & 0xC0 == 0x80:  # within a letter of several octets
            end -= 1
        parts.append(octets[begin:end])
        begin, room = end, MOST_OCTETS - 1  # the space that begins a folded line counts too
    parts.append(octets[begin:])
    return b"\r\n ".join(parts).decode() + "\r\n"


@lru_cache(maxsize=1024)
def _days(name: str, day: date) -> str:
    return f"{name};VALUE=DATE:{_ical(vDate(day))}\r\n"


def _moment(name: str, at: datetime) -> str:
    return f"{name}:{_utc(at)}\r\n"


@lru_cache(maxsize=4096)
def _utc(at: datetime) -> str:
    return _ical(vDatetime(at.astimezone(UTC).replace(microsecond=0)))


def _ical(value: Any) -> str:
    """A value of icalendar's as it writes it."""
    return str(value.to_ical(), "utf-8")

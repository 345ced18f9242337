"""Reading foreign calendars: what they say, and what is refused in words before it can hurt.

The process that reads has its own limits (`reading_process.limit`), which the tests hold to
their figures; no test depends on how fast the machine is.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from household.calc import foreign_calendar
from household.calc.foreign_calendar import CalendarRefused, ForeignEvent, Reading, read_calendar
from household.feeds import reading, reading_process

ZONE = "Europe/Dublin"
FIRST, LAST = date(2026, 2, 26), date(2027, 4, 1)


def calendar(*events: str, before: str = "") -> bytes:
    """Each event is its lines between UID and END, joined by |."""
    parts = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Test//EN", *before.split("|")]
    for number, event in enumerate(events):
        parts += ["BEGIN:VEVENT", f"UID:{number}@test", "DTSTAMP:20260101T000000Z"]
        parts += [*event.split("|"), "END:VEVENT"]
    return "\r\n".join([*(part for part in parts if part), "END:VCALENDAR", ""]).encode()


def read(*events: str, **more: Any) -> Reading:
    return read_calendar(calendar(*events), zone=ZONE, first=FIRST, last=LAST, **more)


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


# What is read --------------------------------------------------------------------------------


def test_a_timed_event_is_a_span_of_its_local_days() -> None:
    (event,) = read("DTSTART:20260401T220000Z|DTEND:20260402T010000Z|SUMMARY:Night  shift").events
    assert event == ForeignEvent(
        date(2026, 4, 1),
        date(2026, 4, 2),
        utc(2026, 4, 1, 22),
        utc(2026, 4, 2, 1),
        True,
        "Night shift",
    )


def test_an_event_until_midnight_stays_in_its_day() -> None:
    (event,) = read("DTSTART:20260312T220000Z|DTEND:20260313T000000Z").events
    assert (event.first, event.last) == (date(2026, 3, 12), date(2026, 3, 12))


def test_a_whole_day_ends_before_its_dtend() -> None:
    """RFC 5545 section 3.6.1: DTEND is the non-inclusive end."""
    term, day = read(
        "DTSTART;VALUE=DATE:20260401|DTEND;VALUE=DATE:20260411|SUMMARY:Easter break",
        "DTSTART;VALUE=DATE:20260501",
    ).events
    assert (term.first, term.last, term.starts_at) == (date(2026, 4, 1), date(2026, 4, 10), None)
    assert (day.first, day.last) == (date(2026, 5, 1), date(2026, 5, 1))


def test_repeats_are_worked_out_with_what_was_left_out_and_moved() -> None:
    rule = "RRULE:FREQ=WEEKLY;COUNT=4|EXDATE:20260319T100000Z"
    content = calendar(
        f"DTSTART:20260312T100000Z|DTEND:20260312T110000Z|{rule}",
        "RECURRENCE-ID:20260326T100000Z|DTSTART:20260327T150000Z|DTEND:20260327T160000Z",
    ).replace(b"UID:1@test", b"UID:0@test")
    events = read_calendar(content, zone=ZONE, first=FIRST, last=LAST).events
    assert [event.starts_at for event in events] == [
        utc(2026, 3, 12, 10),
        utc(2026, 3, 27, 15),
        utc(2026, 4, 2, 10),
    ]


@pytest.mark.parametrize(
    ("line", "busy"),
    [
        ("TRANSP:OPAQUE", True),
        ("TRANSP:TRANSPARENT", False),
        ("X-MICROSOFT-CDO-BUSYSTATUS:FREE", False),
        ("X-MICROSOFT-CDO-BUSYSTATUS:BUSY", True),
        ("STATUS:TENTATIVE", True),
    ],
)
def test_whether_it_is_busy(line: str, busy: bool) -> None:
    (event,) = read(f"DTSTART:20260312T100000Z|{line}").events
    assert event.busy is busy


def test_what_was_called_off_is_left_out() -> None:
    assert read("DTSTART:20260312T100000Z|STATUS:CANCELLED").events == ()


def test_titles_are_kept_only_if_wanted_and_never_long() -> None:
    line = f"DTSTART:20260312T100000Z|SUMMARY:{'x' * 500}"
    (shown,), (hidden,) = read(line).events, read(line, titles=False).events
    assert len(shown.title) == 200 and hidden.title == ""


def test_times_without_a_zone_are_the_households_own() -> None:
    (event,) = read("DTSTART:20260401T100000|DTEND:20260401T110000").events
    assert event.starts_at == utc(2026, 4, 1, 9)  # Dublin is at +01:00 in April (IANA)


def test_zones_known_by_their_windows_names_are_known() -> None:
    """Unicode CLDR, windowsZones: W. Europe Standard Time is Europe/Berlin."""
    result = read("DTSTART;TZID=W. Europe Standard Time:20260401T100000")
    assert result.events[0].starts_at == utc(2026, 4, 1, 8) and result.notes == ()


def test_an_unknown_zone_is_the_households_own_and_said() -> None:
    result = read("DTSTART;TZID=Mars/Olympus:20260401T100000")
    assert result.events[0].starts_at == utc(2026, 4, 1, 9)
    assert "“Mars/Olympus”" in result.notes[0]


def test_a_date_that_cannot_be_read_is_said_and_the_rest_is_kept() -> None:
    result = read(
        "DTSTART:soon", "DTSTART:20260312T100000Z", "DTSTART:20260312T110000Z|RRULE:often"
    )
    assert utc(2026, 3, 12, 10) in [event.starts_at for event in result.events]
    assert "cannot be read" in result.notes[0]


def test_only_the_days_asked_for_are_given() -> None:
    assert read("DTSTART:20250312T100000Z", "DTSTART:20280312T100000Z").events == ()


def test_two_calendars_in_one_file_are_both_read() -> None:
    content = calendar("DTSTART:20260312T100000Z") + calendar("DTSTART:20260313T100000Z")
    assert len(read_calendar(content, zone=ZONE, first=FIRST, last=LAST).events) == 2


# What is refused -----------------------------------------------------------------------------

START = "DTSTART:20260312T100000Z"
HOSTILE = {
    "every second": (calendar(f"{START}|RRULE:FREQ=SECONDLY"), "every hour or more often"),
    "every minute": (calendar(f"{START}|RRULE:FREQ=MINUTELY"), "every hour or more often"),
    "every hour": (calendar(f"{START}|RRULE:FREQ=HOURLY;COUNT=3"), "every hour or more often"),
    "hours by list": (
        calendar(f"{START}|RRULE:FREQ=DAILY;BYHOUR=1,2,3;BYMINUTE=0,30"),
        "more than 4 times a day",
    ),
    "interval 0": (calendar(f"{START}|RRULE:FREQ=DAILY;INTERVAL=0"), "would never get on"),
    "interval below 0": (calendar(f"{START}|RRULE:FREQ=WEEKLY;INTERVAL=-1"), "would never get on"),
    "a million times": (
        calendar(f"{START}|RRULE:FREQ=DAILY;COUNT=1000000"),
        "more than 5000 times",
    ),
    "600 rules": (calendar(*[f"{START}|RRULE:FREQ=DAILY"] * 600), "more than 500 repeating"),
    "2,000 dates": (
        calendar(f"{START}|RDATE:{','.join(['20260312T100000Z'] * 2000)}"),
        "more than 1000 single dates",
    ),
    "50,000 events": (calendar(*["X:1"] * 50_000), "2 MB"),
    "6,000 events": (calendar(*["DTSTART:20260312"] * 6000), "more than 5000 entries"),
    "too many in a year": (
        calendar(*[f"{START}|RRULE:FREQ=DAILY"] * 20),
        "more than 5000 events in a year",
    ),
    "nested without end": (
        b"BEGIN:VCALENDAR\r\n" + b"BEGIN:VEVENT\r\n" * 4000,
        "it begins and does not end",
    ),
    "a web page": (b"<!doctype html><title>Sign in</title>", "Is it the address of a web page?"),
    "nothing": (b"", "This is not a calendar"),
    "noise": (bytes(range(256)) * 100, "This is not a calendar"),
    "all of time": (
        calendar("DTSTART;VALUE=DATE:00010101|DTEND;VALUE=DATE:99991231"),
        "could not be worked out",
    ),
    "a broken zone": (
        calendar(
            "DTSTART;TZID=Own:20260312T100000",
            before="BEGIN:VTIMEZONE|TZID:Own|BEGIN:STANDARD|DTSTART:soon|END:STANDARD"
            "|END:VTIMEZONE",
        ),
        "could not be read to the end",
    ),
}


@pytest.mark.parametrize(("content", "words"), HOSTILE.values(), ids=HOSTILE.keys())
def test_what_is_refused_is_refused_in_a_sentence(content: bytes, words: str) -> None:
    with pytest.raises(CalendarRefused, match=words) as caught:
        reading.read_apart(content, zone=ZONE, first=FIRST, last=LAST, titles=True)
    assert str(caught.value).endswith((".", "?"))


def test_a_byte_order_mark_and_lower_case_are_taken() -> None:
    content = b"\xef\xbb\xbf" + calendar(START).replace(b"BEGIN", b"begin")
    assert len(read_calendar(content, zone=ZONE, first=FIRST, last=LAST).events) == 1


def test_the_process_gives_what_the_function_gives() -> None:
    content = calendar(
        "DTSTART:20260312T100000Z|DTEND:20260312T110000Z|SUMMARY:Dentist 🦷, upper",
        "DTSTART;VALUE=DATE:20260401|RRULE:FREQ=YEARLY|TRANSP:TRANSPARENT",
        "DTSTART;TZID=Mars/Olympus:20260401T100000",
    )
    where = {"zone": ZONE, "first": FIRST, "last": LAST, "titles": True}
    assert reading.read_apart(content, **where) == read_calendar(content, **where)


def test_what_never_comes_to_an_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """30 February, looked for every day until the year 9999: the time limit, made shorter."""
    monkeypatch.setattr(reading, "SECONDS", 1)
    never = f"{START}|RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30"
    with pytest.raises(CalendarRefused, match="takes too long"):
        reading.read_apart(calendar(*[never] * 100), zone=ZONE, first=FIRST, last=LAST, titles=True)


def test_the_limits_are_those_that_are_promised() -> None:
    assert reading.SECONDS == 9  # with what is around it, nothing takes 10
    assert (reading_process.MOST_MEMORY, reading_process.MOST_SECONDS) == (300 * 1024 * 1024, 10)
    assert foreign_calendar.MOST_BYTES == 2 * 1024 * 1024


def test_the_process_cannot_take_more_memory_than_its_limit() -> None:
    script = (
        "from household.feeds.reading_process import limit, MOST_MEMORY\n"
        "from resource import RLIMIT_AS, RLIMIT_CPU, getrlimit\n"
        "limit()\n"
        "print(getrlimit(RLIMIT_AS)[0], getrlimit(RLIMIT_CPU)[0])\n"
        "try:\n    bytes(MOST_MEMORY)\nexcept MemoryError:\n    print('stopped')"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.split() == [str(300 * 1024 * 1024), "10", "stopped"]
    assert resource.getrlimit(resource.RLIMIT_AS)[0] != 300 * 1024 * 1024  # ours is untouched


def test_the_reading_process_knows_nothing_of_django() -> None:
    script = "import sys, household.feeds.reading_process; print('django' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


def test_a_day_after_the_last_is_not_in_it() -> None:
    after = LAST + timedelta(days=1)
    assert read(f"DTSTART;VALUE=DATE:{after:%Y%m%d}").events == ()
    assert len(read(f"DTSTART;VALUE=DATE:{LAST:%Y%m%d}").events) == 1

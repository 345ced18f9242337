"""The text of events: escaping, folding, all-day and timed, against icalendar's own objects.

Sources: RFC 5545 sections 3.1, 3.3.11, 3.6.1 and 3.8, RFC 7986 section 5.7 (cases in
tests/data/ical_text.json); the offsets of tests/data/dst_cases.json are IANA's.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from household.calc.feed_events import (
    Alarms,
    CalendarFacts,
    EventFacts,
    calendar_text,
    event_text,
    todo_text,
)
from household.calc.recurrence.zone import attach

DATA = Path(__file__).parents[1] / "data"
CASES = json.loads((DATA / "ical_text.json").read_text(encoding="utf-8"))
DST = json.loads((DATA / "dst_cases.json").read_text(encoding="utf-8"))
CHANGED = datetime(2026, 3, 1, 8, 30, tzinfo=UTC)
CALENDAR = CalendarFacts("feed1@home", "Larch Cottage")


def facts(**fields: Any) -> EventFacts:
    usual: dict[str, Any] = {
        "uid": "c1-20260312@0f.evenhouse",
        "changed_at": CHANGED,
        "sequence": 7,
        "summary": "Wipe the cupboards",
        "day": date(2026, 3, 12),
        "minutes": 20,
    }
    return EventFacts(**{**usual, **fields})


def lines(text: str) -> list[bytes]:
    """Physical lines, each of which must end in CRLF."""
    raw = text.encode()
    assert raw.endswith(b"\r\n")
    parts = raw.removesuffix(b"\r\n").split(b"\r\n")
    assert not any(b"\r" in part or b"\n" in part for part in parts)
    return parts


def unfolded(text: str) -> list[str]:
    return text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


@pytest.mark.parametrize("case", CASES["escape_cases"], ids=lambda case: case["name"])
def test_text_is_escaped_as_the_rfc_says(case: dict[str, str]) -> None:
    assert f"SUMMARY:{case['escaped']}" in unfolded(event_text(facts(summary=case["raw"])))


def test_a_backslash_before_a_capital_n_is_no_line_break() -> None:
    """RFC 5545 section 3.3.11: ESCAPED-CHAR, by hand."""
    assert r"SUMMARY:C:\\New" in unfolded(event_text(facts(summary=r"C:\New")))


@pytest.mark.parametrize("case", CASES["fold_cases"], ids=lambda case: case["name"])
def test_lines_are_folded_to_75_octets_and_unfold_to_the_same(case: dict[str, str]) -> None:
    text = event_text(facts(summary=case["line"].removeprefix("SUMMARY:")))
    assert all(len(line) <= 75 for line in lines(text))
    for line in lines(text):
        line.decode("utf-8")  # no letter is split
    assert case["line"] in unfolded(text)


HOSTILE = st.one_of(
    st.text(max_size=120),
    st.text(alphabet='🧹🫧💧👩‍👧שלוםمرحبا,;:\\"\r\n\tNn END:VEVENT', max_size=200),
    st.just("END:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:injected"),
    st.just("משימה: לנקות, ואז; לנוח\\n"),
    st.just("🧽" * 2000),
    st.just("x" * 2000),
)


def told(text: str) -> str:
    """What of a text survives: everything but control characters, line ends made one kind."""
    kept = "".join(
        letter
        for letter in text.replace("\r\n", "\n").replace("\r", "\n")
        if letter in "\t\n" or not (ord(letter) < 32 or ord(letter) == 127)
    )
    return kept


@settings(max_examples=60, deadline=None)
@given(HOSTILE, HOSTILE, HOSTILE)
@example("a\\Nb", "\\\\n", ",;")
def test_any_title_comes_back_whole_and_breaks_nothing(
    summary: str, description: str, category: str
) -> None:
    text = event_text(facts(summary=summary, description=description, category=category))
    assert all(len(line) <= 75 for line in lines(text))
    body = calendar_text(CalendarFacts("feed1@home", summary), [text])
    read = icalendar.Calendar.from_ical(body)
    events = read.walk("VEVENT")
    assert read.errors == [] and len(events) == 1 and events[0].errors == []
    # By hand, since icalendar 7.3 itself reads "\\\\N" as a line break.
    value = next(line for line in unfolded(text) if line.startswith("SUMMARY:"))
    assert unescaped(value.removeprefix("SUMMARY:")) == told(summary)


def unescaped(value: str) -> str:
    found, letters = "", iter(value)
    for letter in letters:
        if letter != "\\":
            assert letter not in ",;"
            found += letter
            continue
        escaped = next(letters)
        assert escaped in "\\,;nN"
        found += "\n" if escaped in "nN" else escaped
    return found


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"by": datetime(2026, 3, 12, 17, 30, tzinfo=UTC), "description": "Line\nnext, one"},
        {"category": "Kitchen, upper", "url": "https://home.example.org/h/1/tasks/12/"},
        {"summary": "Done: Wipe; dry", "done": True, "description": "ä" * 200},
    ],
    ids=["all day", "timed", "linked", "done"],
)
def test_an_event_says_what_icalendars_own_object_would_say(fields: dict[str, Any]) -> None:
    given_facts = facts(**fields)
    own = icalendar.Event()
    own.add("uid", given_facts.uid)
    own.add("dtstamp", CHANGED)
    own.add("last-modified", CHANGED)
    own.add("sequence", 7)
    own.add("summary", given_facts.summary)
    if given_facts.description:
        own.add("description", given_facts.description)
    if given_facts.category:
        own.add("categories", [given_facts.category])
    if given_facts.url:
        own.add("url", given_facts.url)
    by = given_facts.by
    own.add("dtstart", by - timedelta(minutes=20) if by else given_facts.day)
    own.add("dtend", by or given_facts.day + timedelta(days=1))
    own.add("transp", "TRANSPARENT")
    own.add("x-microsoft-cdo-busystatus", "FREE")
    written = event_text(given_facts)
    assert sorted(unfolded(written)) == sorted(unfolded(own.to_ical().decode()))
    assert icalendar.Event.from_ical(written) == own


def test_an_all_day_event_ends_on_the_next_day_and_takes_no_time() -> None:
    text = unfolded(event_text(facts()))
    assert "DTSTART;VALUE=DATE:20260312" in text
    assert "DTEND;VALUE=DATE:20260313" in text
    assert "TRANSP:TRANSPARENT" in text
    assert not any(line.startswith(("RRULE", "BEGIN:VALARM")) for line in text)


def test_a_timed_event_ends_at_its_time_in_utc() -> None:
    text = unfolded(event_text(facts(by=datetime(2026, 3, 12, 17, 30, tzinfo=UTC))))
    assert "DTSTART:20260312T171000Z" in text and "DTEND:20260312T173000Z" in text


@pytest.mark.parametrize("case", DST["rfc_examples"], ids=lambda case: case["kind"])
def test_times_on_days_when_clocks_change_are_those_of_the_rfc(case: dict[str, str]) -> None:
    by = attach(datetime.fromisoformat(case["local"]), case["tzid"])
    text = unfolded(event_text(facts(by=by)))
    expected = datetime.fromisoformat(case["expected_utc"])
    assert f"DTEND:{expected:%Y%m%dT%H%M%SZ}" in text
    assert f"DTSTART:{expected - timedelta(minutes=20):%Y%m%dT%H%M%SZ}" in text


def test_the_stamps_come_from_the_data() -> None:
    text = unfolded(event_text(facts()))
    assert {"DTSTAMP:20260301T083000Z", "LAST-MODIFIED:20260301T083000Z", "SEQUENCE:7"} <= {*text}


def test_alarms_only_where_they_are_wanted() -> None:
    alarms = Alarms(at=time(8, 30), minutes=15)
    all_day = unfolded(event_text(facts(), alarms))
    timed = unfolded(event_text(facts(by=datetime(2026, 3, 12, 9, tzinfo=UTC)), alarms))
    assert "TRIGGER:PT8H30M" in all_day
    assert "TRIGGER:-PT15M" in timed
    assert not any("VALARM" in line for line in unfolded(event_text(facts(done=True), alarms)))
    assert not any("VALARM" in line for line in unfolded(event_text(facts(), Alarms(minutes=15))))


def test_a_to_do_is_due_on_its_day_and_completed_once_ticked() -> None:
    text = unfolded(todo_text(facts()))
    assert {"DUE;VALUE=DATE:20260312", "STATUS:NEEDS-ACTION"} <= {*text}
    done = unfolded(todo_text(facts(done=True, done_at=datetime(2026, 3, 12, 16, 20, tzinfo=UTC))))
    assert {"STATUS:COMPLETED", "PERCENT-COMPLETE:100", "COMPLETED:20260312T162000Z"} <= {*done}


def test_the_calendar_carries_what_programs_look_for() -> None:
    body = calendar_text(CalendarFacts("feed1@home", "Marit, Larch Cottage", "teal"), [])
    text = unfolded(body.decode())
    assert text[0] == "BEGIN:VCALENDAR" and text[-1] == "END:VCALENDAR"
    assert {
        "VERSION:2.0",
        "PRODID:-//Evenhouse//Evenhouse//EN",
        "METHOD:PUBLISH",
        "UID:feed1@home",
        "NAME:Marit\\, Larch Cottage",
        "X-WR-CALNAME:Marit\\, Larch Cottage",
        "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
        "X-PUBLISHED-TTL:PT1H",
        "COLOR:teal",
    } <= {*text}
    assert icalendar.Calendar.from_ical(body).errors == []


def test_the_same_facts_make_the_same_bytes() -> None:
    assert event_text(facts()) == event_text(facts())
    assert calendar_text(CALENDAR, [event_text(facts())]) == calendar_text(
        CALENDAR, [event_text(facts())]
    )

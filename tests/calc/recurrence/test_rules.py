"""Reading rules: what is refused, at once and with a reason, and what is written back."""

import time
from datetime import UTC, date, datetime

import pytest

from household.calc.recurrence.dates import between, moments, next_on_or_after, upcoming
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.model import Freq
from household.calc.recurrence.rules import check, normalise, parse

TUESDAY = date(2026, 3, 17)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("RRULE:", "empty"),
        ("every tuesday", "NAME=VALUE"),
        ("FREQ=WEEKLY;;BYDAY=MO", "NAME=VALUE"),
        ("FREQ=WEEKLY;BYDAY=", "NAME=VALUE"),
        ("BYDAY=MO", "how often"),
        ("FREQ=OFTEN", "DAILY, WEEKLY, MONTHLY or YEARLY"),
        ("FREQ=HOURLY", "faster than once a day"),
        ("FREQ=MINUTELY;INTERVAL=1440", "faster than once a day"),
        ("FREQ=SECONDLY", "faster than once a day"),
        ("FREQ=DAILY;INTERVAL=0", "INTERVAL must be from 1 to 1,000"),
        ("FREQ=DAILY;INTERVAL=-1", "INTERVAL must be from 1 to 1,000"),
        ("FREQ=DAILY;INTERVAL=1001", "INTERVAL must be from 1 to 1,000"),
        ("FREQ=DAILY;INTERVAL=two", "whole numbers"),
        ("FREQ=DAILY;INTERVAL=1.5", "whole numbers"),
        ("FREQ=DAILY;INTERVAL=٣", "whole numbers"),  # Arabic-Indic 3: not a digit of the RFC
        ("FREQ=DAILY;COUNT=0", "COUNT must be from 1 to 5,000"),
        ("FREQ=DAILY;COUNT=5001", "COUNT must be from 1 to 5,000"),
        ("FREQ=DAILY;COUNT=99999999999999999999", "whole numbers"),
        ("FREQ=DAILY;COUNT=3;UNTIL=20261231", "COUNT or by UNTIL"),
        ("FREQ=DAILY;UNTIL=soon", "a day such as 20271231"),
        ("FREQ=DAILY;UNTIL=2026-12-31", "a day such as 20271231"),
        ("FREQ=DAILY;UNTIL=20260230", "no such day"),
        ("FREQ=DAILY;UNTIL=20261231T250000Z", "no such day or time"),
        ("FREQ=DAILY;FREQ=WEEKLY", "FREQ is there twice"),
        ("FREQ=WEEKLY;BYDAY=MO;BYDAY=TU", "BYDAY is there twice"),
        ("FREQ=DAILY;BYEASTER=0", '"BYEASTER" is not a known part'),  # dateutil's own
        ("FREQ=DAILY;X-NAME=1", "not a known part"),
        ("FREQ=DAILY;BYHOUR=9", "not at hours"),
        ("FREQ=DAILY;BYMINUTE=0", "not at hours"),
        ("FREQ=DAILY;BYSECOND=0", "not at hours"),
        ("FREQ=DAILY;BYMONTH=13", "BYMONTH takes numbers from 1 to 12"),
        ("FREQ=DAILY;BYMONTH=-1", "BYMONTH takes numbers from 1 to 12"),
        ("FREQ=MONTHLY;BYMONTHDAY=0", "BYMONTHDAY takes numbers from 1 to 31"),
        ("FREQ=MONTHLY;BYMONTHDAY=32", "BYMONTHDAY takes numbers"),
        ("FREQ=MONTHLY;BYMONTHDAY=1,,2", "whole numbers"),
        ("FREQ=YEARLY;BYYEARDAY=367", "BYYEARDAY takes numbers"),
        ("FREQ=YEARLY;BYWEEKNO=54", "BYWEEKNO takes numbers"),
        ("FREQ=MONTHLY;BYDAY=MO;BYSETPOS=0", "BYSETPOS takes numbers"),
        ("FREQ=WEEKLY;BYDAY=MONDAY", "Use MO to SU"),
        ("FREQ=MONTHLY;BYDAY=0MO", "Use MO to SU"),
        ("FREQ=YEARLY;BYDAY=54MO", "Use MO to SU"),
        ("FREQ=WEEKLY;WKST=1", "first day of the week"),
        # RFC 5545 3.3.10, what each part may stand beside:
        ("FREQ=WEEKLY;BYDAY=1MO", "needs FREQ=MONTHLY or YEARLY"),
        ("FREQ=DAILY;BYDAY=-1MO", "needs FREQ=MONTHLY or YEARLY"),
        ("FREQ=YEARLY;BYWEEKNO=20;BYDAY=1MO", "beside BYWEEKNO"),
        ("FREQ=MONTHLY;BYWEEKNO=20", "FREQ=YEARLY only"),
        ("FREQ=MONTHLY;BYYEARDAY=20", "FREQ=YEARLY only"),
        ("FREQ=WEEKLY;BYMONTHDAY=20", "does not work with FREQ=WEEKLY"),
        ("FREQ=MONTHLY;BYSETPOS=1", "Add one, such as BYDAY"),
        ("FREQ=MONTHLY;BYDAY=6MO", "No month has a 6MO"),
        ("FREQ=YEARLY;BYMONTH=3;BYDAY=-6MO", "No month has a -6MO"),
        # No day at all:
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never falls on any day"),
        ("FREQ=MONTHLY;BYMONTH=2;BYMONTHDAY=30", "never falls on any day"),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "never falls on any day"),
        ("FREQ=MONTHLY;BYMONTH=4,6,9,11;BYMONTHDAY=31", "never falls on any day"),
        ("FREQ=MONTHLY;BYDAY=1MO;BYMONTHDAY=20", "never falls on any day"),
        ("FREQ=YEARLY;BYWEEKNO=10;BYMONTH=7", "never falls on any day"),
        ("FREQ=YEARLY;BYYEARDAY=100;BYMONTH=12", "never falls on any day"),
        ("FREQ=MONTHLY;BYDAY=MO;BYSETPOS=6", "never falls on any day"),
        ("FREQ=WEEKLY;BYDAY=MO;BYSETPOS=2", "never falls on any day"),
        ("FREQ=DAILY;BYDAY=MO;BYSETPOS=2", "never falls on any day"),
        ("FREQ=MONTHLY;BYDAY=" + ",".join(["1MO"] * 200), "longer than 500 characters"),
    ],
)
def test_rule_is_refused_at_once_with_a_reason(text: str, reason: str) -> None:
    begun = time.process_time()
    with pytest.raises(RuleError) as refused:
        parse(text)
    # Walking such a rule to the year 9999 or for ever takes far longer than this.
    assert time.process_time() - begun < 0.5
    message = str(refused.value)
    assert reason in message
    assert message.endswith(".") and "\n" not in message
    assert message.count(". ") <= 1, "one or two sentences"


def test_a_rule_with_times_keeps_to_the_same_limits() -> None:
    assert parse("FREQ=DAILY;BYHOUR=9,17;BYMINUTE=30", timed=True).by_hour == (9, 17)
    with pytest.raises(RuleError, match="1440 times a day"):
        hours, minutes = (",".join(map(str, range(n))) for n in (24, 60))
        parse(f"FREQ=DAILY;BYHOUR={hours};BYMINUTE={minutes}", timed=True)
    with pytest.raises(RuleError, match="BYHOUR takes numbers from 0 to 23"):
        parse("FREQ=DAILY;BYHOUR=24", timed=True)
    with pytest.raises(RuleError, match="INTERVAL"):
        parse("FREQ=DAILY;INTERVAL=0", timed=True)


def test_text_is_read_kindly_and_written_canonically() -> None:
    rule = parse(" rrule:wkst=su; byday=fr,tu,fr ;freq=weekly;interval=02; ")
    assert rule.freq is Freq.WEEKLY
    assert rule.text() == "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,FR;WKST=SU"
    assert parse("FREQ=WEEKLY;INTERVAL=1;WKST=MO").text() == "FREQ=WEEKLY"
    assert parse("FREQ=MONTHLY;BYDAY=+1MO,-1FR").text() == "FREQ=MONTHLY;BYDAY=1MO,-1FR"
    everything = (
        "FREQ=YEARLY;INTERVAL=2;UNTIL=20401231T230000Z;BYMONTH=1,12;BYMONTHDAY=-31,1;BYDAY=MO,TU;"
        "BYHOUR=8;BYMINUTE=0,30;BYSECOND=0;BYSETPOS=-1,1;WKST=SU"
    )
    assert parse(everything, timed=True).text() == everything


def test_until_with_a_time_counts_as_its_written_day_for_a_chore() -> None:
    assert parse("FREQ=DAILY;UNTIL=19971224T000000Z").until == date(1997, 12, 24)
    timed = parse("FREQ=DAILY;UNTIL=19971224T000000Z", timed=True)
    assert timed.until == datetime(1997, 12, 24, tzinfo=UTC)
    rule = parse("FREQ=DAILY;UNTIL=20260318", timed=True)
    start = datetime.fromisoformat("2026-03-17T20:00:00")
    assert len(moments([rule], start=start, tz="Europe/London", count=9)) == 2


def test_count_becomes_the_until_of_its_last_date() -> None:
    assert normalise("freq=weekly;count=3", TUESDAY) == "FREQ=WEEKLY;UNTIL=20260331"
    assert normalise("FREQ=WEEKLY;BYDAY=TU", TUESDAY) == "FREQ=WEEKLY;BYDAY=TU"
    # The season counts: three times in April, not three times somewhere.
    april = normalise("FREQ=WEEKLY;COUNT=3", TUESDAY, frozenset({4}))
    assert april == "FREQ=WEEKLY;UNTIL=20260421"
    # RFC 5545 3.3.10: a date that does not exist is left out and not counted.
    assert normalise("FREQ=MONTHLY;COUNT=3", date(2026, 1, 31)) == "FREQ=MONTHLY;UNTIL=20260531"


def test_a_rule_that_has_ended_has_no_dates_and_cannot_be_saved() -> None:
    rule = parse("FREQ=DAILY;UNTIL=20260316")
    assert upcoming(rule, start=TUESDAY, after=date(2026, 1, 1), count=3) == []
    assert next_on_or_after(rule, start=TUESDAY, day=TUESDAY) is None
    with pytest.raises(RuleError, match="ends on 2026-03-16, before it starts on 2026-03-17"):
        check(rule, TUESDAY)
    with pytest.raises(RuleError, match="before it starts"):
        normalise("FREQ=DAILY;UNTIL=20260316", TUESDAY)


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("FREQ=YEARLY;INTERVAL=4;BYMONTH=2;BYMONTHDAY=29", date(2025, 1, 1)),
        ("FREQ=MONTHLY;INTERVAL=2;BYMONTH=2", date(2026, 1, 1)),
        ("FREQ=MONTHLY;BYMONTH=2", date(2026, 1, 30)),
        ("FREQ=DAILY;INTERVAL=7;BYDAY=WE", TUESDAY),
        ("FREQ=DAILY;INTERVAL=2;BYMONTHDAY=31;BYMONTH=12;UNTIL=20261231", date(2026, 1, 2)),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20260320", TUESDAY),
    ],
)
def test_a_rule_without_a_date_from_its_start_is_found_out_at_once(text: str, start: date) -> None:
    rule = parse(text)
    begun = time.process_time()
    assert next_on_or_after(rule, start=start, day=start) is None
    with pytest.raises(RuleError, match="no date from"):
        normalise(text, start)
    assert time.process_time() - begun < 0.5


def test_sparse_rules_are_still_right() -> None:
    leap_day = parse("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29")
    start = date(2024, 2, 29)
    assert upcoming(leap_day, start=start, after=date(2095, 1, 1), count=3) == [
        date(2096, 2, 29),
        date(2104, 2, 29),  # 2100 is not a leap year
        date(2108, 2, 29),
    ]
    # 29 February on a Monday: 2044, then 2072 (computed with the standard library).
    mondays = parse("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=29;BYDAY=MO")
    expected = [
        date(year, 2, 29)
        for year in range(2028, 2400, 4)
        if year % 100 or not year % 400
        if date(year, 2, 29).weekday() == 0
    ]
    assert upcoming(mondays, start=start, after=start, count=len(expected)) == expected
    # Every thousandth year, up to the end of the calendar.
    rule = parse("FREQ=YEARLY;INTERVAL=1000")
    found = upcoming(rule, start=date(2026, 5, 1), after=date(2026, 5, 1), count=20)
    assert [on.year for on in found] == [3026, 4026, 5026, 6026, 7026, 8026, 9026]


def test_both_ends_of_the_calendar_are_safe() -> None:
    daily = parse("FREQ=WEEKLY;BYDAY=MO,FR")
    assert upcoming(daily, start=date.min, after=date.max, count=2) == []
    # 31 December 9999 is a Friday.
    assert between(daily, start=date.min, first=date(9999, 12, 27), last=date.max) == [
        date(9999, 12, 27),
        date(9999, 12, 31),
    ]
    assert next_on_or_after(daily, start=date.min, day=date.min) == date.min
    weeks = parse("FREQ=YEARLY;BYWEEKNO=1,52;BYDAY=SU")
    assert between(weeks, start=date.min, first=date.min, last=date(1, 1, 31)) == [date(1, 1, 7)]


@pytest.mark.parametrize(
    ("text", "start", "expected"),
    [
        # RFC 5545 3.3.10: BYDAY is a list of days, so one that has either is on.
        (
            "FREQ=MONTHLY;BYDAY=MO,1FR",
            date(2026, 5, 1),
            ["2026-05-01", "2026-05-04", "2026-05-11", "2026-05-18", "2026-05-25", "2026-06-01"],
        ),
        # ISO 8601: 1 and 2 January 2022 belong to week 52 of 2021.
        (
            "FREQ=YEARLY;BYWEEKNO=53;BYDAY=SA,SU",
            date(2021, 6, 1),
            ["2027-01-02", "2027-01-03", "2033-01-01", "2033-01-02"],
        ),
        # RFC 5545 3.3.10: what a rule leaves out, here the weekday, is that of the start.
        ("FREQ=YEARLY;BYWEEKNO=20", date(1997, 5, 12), ["1997-05-12", "1998-05-11", "1999-05-17"]),
        # Week 1 may begin in December, on a Monday; a start on a Saturday would never see it.
        ("FREQ=YEARLY;BYMONTH=12;BYWEEKNO=1", date(2024, 12, 30), ["2024-12-30", "2025-12-29"]),
        # RFC 5545 3.3.10: positions are counted from the beginning of the week, a Monday.
        (
            "FREQ=WEEKLY;BYDAY=MO,WE,FR;BYSETPOS=1",
            date(2026, 3, 18),
            ["2026-03-23", "2026-03-30"],
        ),
        # The start, a Tuesday, is not one of the dates of a rule that does not name it.
        ("FREQ=WEEKLY;BYDAY=WE", TUESDAY, ["2026-03-18", "2026-03-25"]),
        # RFC 5545 3.3.10: a month without the day is left out.
        ("FREQ=MONTHLY", date(2026, 1, 31), ["2026-01-31", "2026-03-31", "2026-05-31"]),
        ("FREQ=YEARLY", date(2024, 2, 29), ["2024-02-29", "2028-02-29", "2032-02-29"]),
        ("FREQ=MONTHLY;BYMONTHDAY=-1", TUESDAY, ["2026-03-31", "2026-04-30", "2026-05-31"]),
    ],
)
def test_dates_where_readings_differ(text: str, start: date, expected: list[str]) -> None:
    after = date.fromordinal(start.toordinal() - 1)
    found = upcoming(parse(text), start=start, after=after, count=len(expected))
    assert [on.isoformat() for on in found] == expected

"""Due windows: once, by rule, after it was done; seasons, weeks, months, month ends."""

import csv
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.repeat import (
    Due,
    Kind,
    Repeat,
    Shift,
    Unit,
    Window,
    due_between,
    due_next,
    for_saving,
    phase_key,
    preview,
)
from tests.calc.recurrence.oracles import by_the_book, rule_texts, starts, week_begin

quick = settings(derandomize=True, deadline=None, max_examples=100, database=None)
TUESDAY = date(2026, 3, 17)
WEEKS = Path(__file__).parents[2] / "data" / "iso8601_weeks.csv"


def by_rule(rule: str, start: date = TUESDAY, **more: object) -> Repeat:
    return Repeat(Kind.RULE, start, rule=rule, **more)  # type: ignore[arg-type]


def occurrences(repeat: Repeat, first: date, last: date) -> list[str]:
    return [due.occurrence.isoformat() for due in due_between(repeat, first=first, last=last)]


def test_once_comes_once() -> None:
    repeat = Repeat(Kind.ONCE, TUESDAY)
    assert due_next(repeat, after=None) == Due(TUESDAY, TUESDAY, TUESDAY)
    assert due_next(repeat, after=TUESDAY - timedelta(days=1)) == Due(TUESDAY, TUESDAY, TUESDAY)
    assert due_next(repeat, after=TUESDAY) is None
    assert due_between(repeat, first=TUESDAY, last=TUESDAY) == [Due(TUESDAY, TUESDAY, TUESDAY)]


def test_a_rule_goes_on_from_any_day() -> None:
    repeat = by_rule("FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,FR")
    found, after = [], None
    for _ in range(4):
        due = due_next(repeat, after=after)
        assert due is not None
        assert due.occurrence == due.opens == due.closes
        found.append(due.occurrence.isoformat())
        after = due.occurrence
    assert found == ["2026-03-17", "2026-03-20", "2026-03-31", "2026-04-03"]
    ended = by_rule("FREQ=WEEKLY;UNTIL=20260324")
    assert due_next(ended, after=date(2026, 3, 24)) is None


@pytest.mark.parametrize(
    ("every", "unit", "last_done", "expected"),
    [
        (10, Unit.DAYS, None, "2026-03-17"),  # never done yet: the start
        (10, Unit.DAYS, "2026-03-20", "2026-03-30"),
        (2, Unit.WEEKS, "2026-12-25", "2027-01-08"),
        # A month that is too short gives its last day.
        (1, Unit.MONTHS, "2027-01-31", "2027-02-28"),
        (1, Unit.MONTHS, "2028-01-31", "2028-02-29"),
        (1, Unit.MONTHS, "2026-03-31", "2026-04-30"),
        (1, Unit.MONTHS, "2026-02-28", "2026-03-28"),
        (12, Unit.MONTHS, "2028-02-29", "2029-02-28"),
        (48, Unit.MONTHS, "2028-02-29", "2032-02-29"),
        (11, Unit.MONTHS, "2026-03-31", "2027-02-28"),
    ],
)
def test_after_done_counts_from_the_last_time(
    every: int, unit: Unit, last_done: str | None, expected: str
) -> None:
    repeat = Repeat(Kind.AFTER_DONE, TUESDAY, every=every, unit=unit)
    done = None if last_done is None else date.fromisoformat(last_done)
    on = date.fromisoformat(expected)
    assert due_next(repeat, after=None, last_done=done) == Due(on, on, on)
    assert due_between(repeat, first=on, last=on, last_done=done) == [Due(on, on, on)]
    assert due_between(repeat, first=on + timedelta(1), last=date.max, last_done=done) == []


def test_an_after_done_occurrence_is_always_a_new_one() -> None:
    repeat = Repeat(Kind.AFTER_DONE, TUESDAY, every=3)
    done, after = date(2026, 4, 1), date(2026, 4, 20)
    due = due_next(repeat, after=after, last_done=done)
    assert due is not None
    assert due.occurrence == date(2026, 4, 21)
    assert due_next(repeat, after=None, last_done=date(9999, 12, 30)) is None


def test_after_done_opens_only_after_it_was_done() -> None:
    repeat = Repeat(Kind.AFTER_DONE, TUESDAY, every=3, window=Window.WEEK)
    due = due_next(repeat, after=None, last_done=date(2026, 4, 7))  # a Tuesday
    assert due == Due(date(2026, 4, 10), date(2026, 4, 8), date(2026, 4, 12))


def test_a_season_leaves_out_the_months_that_are_off() -> None:
    summer = frozenset({5, 6, 9})
    monthly = by_rule("FREQ=MONTHLY;BYMONTHDAY=31,1", months=summer)
    assert occurrences(monthly, TUESDAY, date(2027, 5, 31)) == [
        "2026-05-01",
        "2026-05-31",
        "2026-06-01",
        "2026-09-01",
        "2027-05-01",
        "2027-05-31",
    ]
    due = due_next(monthly, after=date(2026, 9, 1))
    assert due is not None
    assert due.occurrence == date(2027, 5, 1)


def test_an_after_done_chore_waits_for_its_season() -> None:
    mowing = Repeat(Kind.AFTER_DONE, TUESDAY, every=10, months=frozenset({4, 5, 10}))
    for last_done, expected in [
        (None, "2026-04-01"),
        ("2026-05-20", "2026-05-30"),
        ("2026-05-25", "2026-10-01"),
        ("2026-10-30", "2027-04-01"),
    ]:
        done = None if last_done is None else date.fromisoformat(last_done)
        due = due_next(mowing, after=None, last_done=done)
        assert due is not None
        assert due.occurrence.isoformat() == expected


def test_count_counts_the_times_in_season() -> None:
    repeat = by_rule("FREQ=WEEKLY;COUNT=3", months=frozenset({4, 6}), start=date(2026, 4, 21))
    expected = ["2026-04-21", "2026-04-28", "2026-06-02"]
    assert occurrences(repeat, date(2026, 1, 1), date(2030, 1, 1)) == expected
    saved = for_saving(repeat)
    assert saved.rule == "FREQ=WEEKLY;UNTIL=20260602"
    assert occurrences(saved, date(2026, 1, 1), date(2030, 1, 1)) == expected


def test_a_repeat_that_never_comes_cannot_be_saved() -> None:
    off = by_rule("FREQ=YEARLY;BYMONTH=6;BYMONTHDAY=1", months=frozenset({12}))
    assert due_next(off, after=None) is None
    with pytest.raises(RuleError, match="never falls in the months of its season"):
        for_saving(off)
    with pytest.raises(RuleError, match="before it starts"):
        for_saving(by_rule("FREQ=DAILY;UNTIL=20260101"))
    assert for_saving(Repeat(Kind.ONCE, TUESDAY)) == Repeat(Kind.ONCE, TUESDAY)


@pytest.mark.parametrize(
    ("wrong", "reason"),
    [
        ({"kind": Kind.RULE}, "empty"),
        ({"kind": Kind.RULE, "rule": "FREQ=HOURLY"}, "faster"),
        ({"kind": Kind.AFTER_DONE}, "from 1 to 1,000 days, not 0"),
        ({"kind": Kind.AFTER_DONE, "every": 1_001}, "not 1001"),
        ({"kind": Kind.ONCE, "months": frozenset()}, "no month"),
        ({"kind": Kind.ONCE, "months": frozenset({13})}, "1 to 12"),
        ({"kind": Kind.ONCE, "months": frozenset({4})}, "a month that is off"),
        ({"kind": Kind.ONCE, "week_start": 7}, "first day of the week"),
    ],
)
def test_a_repeat_that_makes_no_sense_is_refused(wrong: dict[str, object], reason: str) -> None:
    with pytest.raises(RuleError, match=reason):
        Repeat(**{"start": TUESDAY, **wrong})  # type: ignore[arg-type]


def test_a_month_window_is_the_calendar_month() -> None:
    repeat = by_rule("FREQ=MONTHLY;BYMONTHDAY=15", window=Window.MONTH)
    closes = [due.closes.isoformat() for due in preview(repeat, after=date(2027, 12, 31), count=3)]
    assert closes == ["2028-01-31", "2028-02-29", "2028-03-31"]
    assert all(due.opens.day == 1 for due in preview(repeat, after=None, count=14))


@pytest.mark.parametrize(
    "row", list(csv.DictReader(WEEKS.read_text().splitlines())), ids=lambda row: row["date"]
)
def test_a_week_window_is_the_iso_week_of_its_day(row: dict[str, str]) -> None:
    """ISO 8601 week dates, years of 53 weeks among them (tests/data/iso8601_weeks.csv)."""
    day = date.fromisoformat(row["date"])
    due = due_next(Repeat(Kind.ONCE, day, window=Window.WEEK), after=None)
    assert due is not None
    assert due.occurrence == day
    assert due.closes - due.opens == timedelta(days=6)
    year, week, weekday = row["iso_week_date"].split("-")
    assert due.opens == date.fromisoformat(f"{year}-{week}-1")
    assert (day - due.opens).days == int(weekday) - 1


@quick
@given(day=st.dates(date(1990, 1, 1), date(2090, 1, 1)), first_weekday=st.integers(0, 6))
def test_a_week_window_begins_on_the_household_s_first_day(day: date, first_weekday: int) -> None:
    repeat = Repeat(Kind.ONCE, day, window=Window.WEEK, week_start=first_weekday)
    due = due_next(repeat, after=None)
    assert due is not None
    assert due.opens == week_begin(day, first_weekday)
    assert due.closes == due.opens + timedelta(days=6)


def test_every_second_week_follows_wkst_over_the_new_year() -> None:
    """RFC 5545 3.8.5.3, its last but one example: WKST changes which weeks are the second."""
    start = date(2026, 12, 29)  # a Tuesday; 1 January 2027 is in ISO week 53
    monday = by_rule("FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU", start)
    sunday = by_rule("FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU;WKST=SU", start)
    last = date(2027, 1, 24)
    found = [occurrences(repeat, start, last) for repeat in (monday, sunday)]
    assert found == [
        ["2026-12-29", "2027-01-03", "2027-01-12", "2027-01-17"],
        ["2026-12-29", "2027-01-10", "2027-01-12", "2027-01-24"],
    ]


@quick
@given(
    text=rule_texts(),
    start=starts,
    months=st.sets(st.integers(1, 12), min_size=1),
    offset=st.integers(-400, 800),
)
def test_due_tasks_by_rule_are_its_dates_in_season(
    text: str, start: date, months: set[int], offset: int
) -> None:
    try:
        repeat = by_rule(text, start, months=frozenset(months))
    except RuleError:
        assume(False)
        raise
    first = start + timedelta(days=offset)
    last = first + timedelta(days=400)
    expected = [on for on in by_the_book(text, start, first, last) if on.month in months]
    found = due_between(repeat, first=first, last=last)
    assert [due.occurrence for due in found] == expected
    following = due_next(repeat, after=first - timedelta(days=1))
    assert (following in found) if expected else following is None or following.occurrence > last


@quick
@given(
    text=rule_texts(ends=False),
    start=starts,
    later=st.integers(0, 800),
    offset=st.integers(-1, 800),
    shift=st.sampled_from(list(Shift)),
    holiday=st.sets(st.integers(0, 60)),
)
def test_equal_keys_mean_equal_due_tasks(
    text: str, start: date, later: int, offset: int, shift: Shift, holiday: set[int]
) -> None:
    other_start = start + timedelta(days=later)
    try:
        one = by_rule(text, start, on_holiday=shift)
        other = by_rule(text, other_start, on_holiday=shift)
    except RuleError:
        assume(False)
        raise
    assume(phase_key(one) == phase_key(other))
    after = other_start + timedelta(days=offset)
    holidays = {after + timedelta(days=day) for day in holiday}
    due = due_next(one, after=after, holidays=holidays)
    assert due == due_next(other, after=after, holidays=holidays)


def test_keys_tell_phases_apart_only_where_they_matter() -> None:
    def key(rule: str, start: date = TUESDAY, **more: object) -> object:
        return phase_key(by_rule(rule, start, **more))

    week = timedelta(days=7)
    assert key("FREQ=WEEKLY;BYDAY=MO") == key("FREQ=WEEKLY;BYDAY=MO;WKST=SU", TUESDAY + 3 * week)
    assert key("FREQ=WEEKLY") == key("FREQ=WEEKLY;BYDAY=TU", TUESDAY + week)
    assert key("FREQ=WEEKLY") != key("FREQ=WEEKLY", TUESDAY + timedelta(days=1))
    fortnight = "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU"
    assert key(fortnight) != key(fortnight, TUESDAY + week)
    assert key(fortnight) == key(fortnight, TUESDAY + 2 * week)
    assert key(fortnight) != key(fortnight, window=Window.WEEK)
    assert key(fortnight) != key(fortnight, months=frozenset({3}))
    assert key(fortnight) != key(fortnight, on_away=Shift.SKIP)
    assert key("FREQ=WEEKLY;COUNT=3") == key("FREQ=WEEKLY;UNTIL=20260331")
    assert key("FREQ=WEEKLY") != key("FREQ=WEEKLY;UNTIL=20260331")
    assert phase_key(Repeat(Kind.ONCE, TUESDAY)) != phase_key(Repeat(Kind.ONCE, TUESDAY + week))


def test_a_preview_takes_each_as_done_in_time() -> None:
    repeat = Repeat(Kind.AFTER_DONE, TUESDAY, every=1, unit=Unit.MONTHS)
    found = preview(repeat, after=None, count=3)
    assert [due.occurrence.isoformat() for due in found] == [
        "2026-03-17",
        "2026-04-17",
        "2026-05-17",
    ]
    assert len(preview(Repeat(Kind.ONCE, TUESDAY), after=None, count=10)) == 1

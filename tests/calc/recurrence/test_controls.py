"""Plain controls to a Repeat, and back."""

from calendar import monthrange
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from household.calc.recurrence.controls import (
    LAST,
    By,
    Controls,
    Counted,
    Ends,
    Step,
    from_repeat,
    from_rule,
    to_repeat,
)
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.repeat import (
    Kind,
    Repeat,
    Shift,
    Unit,
    Window,
    due_between,
    for_saving,
    preview,
)
from tests.calc.recurrence.oracles import rule_texts
from tests.calc.recurrence.some_controls import repeats_by_controls, starts

quick = settings(derandomize=True, deadline=None, max_examples=200, database=None)
TUESDAY = date(2026, 3, 17)


@pytest.mark.parametrize(
    ("controls", "rule"),
    [
        (Controls(step=Step.DAYS), "FREQ=DAILY"),
        (Controls(step=Step.DAYS, every=3), "FREQ=DAILY;INTERVAL=3"),
        (Controls(), "FREQ=WEEKLY;BYDAY=TU"),
        (
            Controls(every=2, weekdays=frozenset({4, 1})),
            "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,FR",
        ),
        (Controls(step=Step.MONTHS), "FREQ=MONTHLY;BYMONTHDAY=17"),
        (Controls(step=Step.MONTHS, day=28), "FREQ=MONTHLY;BYMONTHDAY=28"),
        (Controls(step=Step.MONTHS, day=30), "FREQ=MONTHLY;BYMONTHDAY=28,29,30;BYSETPOS=-1"),
        (
            Controls(step=Step.MONTHS, day=30, short_month_last=False),
            "FREQ=MONTHLY;BYMONTHDAY=30",
        ),
        (Controls(step=Step.MONTHS, day=LAST), "FREQ=MONTHLY;BYMONTHDAY=-1"),
        (
            Controls(step=Step.MONTHS, by=By.WEEKDAY, nth=LAST, weekday=4),
            "FREQ=MONTHLY;BYDAY=-1FR",
        ),
        (Controls(step=Step.YEARS), "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=17"),
        (Controls(step=Step.YEARS, month=12, day=31), "FREQ=YEARLY;BYMONTH=12;BYMONTHDAY=31"),
        (
            Controls(step=Step.YEARS, month=2, day=29),
            "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=28,29;BYSETPOS=-1",
        ),
        (
            Controls(step=Step.YEARS, every=2, month=5, by=By.WEEKDAY, nth=2, weekday=6),
            "FREQ=YEARLY;INTERVAL=2;BYMONTH=5;BYDAY=2SU",
        ),
        (
            Controls(ends=Ends.ON_DATE, until=date(2026, 6, 30)),
            "FREQ=WEEKLY;UNTIL=20260630;BYDAY=TU",
        ),
        (Controls(ends=Ends.AFTER_TIMES, times=10), "FREQ=WEEKLY;COUNT=10;BYDAY=TU"),
    ],
)
def test_controls_make_a_rule_and_are_read_from_it(controls: Controls, rule: str) -> None:
    repeat = to_repeat(controls, TUESDAY)
    assert (repeat.kind, repeat.rule) == (Kind.RULE, rule)
    shown = from_rule(rule, TUESDAY)
    assert shown is not None
    assert to_repeat(shown, TUESDAY) == repeat


def test_other_controls_make_other_kinds() -> None:
    once = to_repeat(Controls(counted=Counted.ONCE, months=frozenset({7})), TUESDAY)
    assert once == Repeat(Kind.ONCE, TUESDAY)
    ten_days = Controls(counted=Counted.LAST_DONE, every=10, step=Step.DAYS)
    assert to_repeat(ten_days, TUESDAY) == Repeat(Kind.AFTER_DONE, TUESDAY, every=10)
    two_years = Controls(counted=Counted.LAST_DONE, every=2, step=Step.YEARS)
    assert to_repeat(two_years, TUESDAY) == Repeat(
        Kind.AFTER_DONE, TUESDAY, every=24, unit=Unit.MONTHS
    )
    # A season that does not hold the start is no reason to refuse it.
    summer = to_repeat(Controls(months=frozenset({7})), TUESDAY)
    assert [due.occurrence.month for due in preview(summer, after=None, count=2)] == [7, 7]


@pytest.mark.parametrize("day", [29, 30, 31])
@pytest.mark.parametrize("every", [1, 2])
def test_day_29_to_31_is_the_last_day_of_a_shorter_month(day: int, every: int) -> None:
    start = date(2027, 1, 1)
    controls = Controls(step=Step.MONTHS, every=every, day=day)
    found = due_between(to_repeat(controls, start), first=start, last=date(2029, 12, 31))
    expected = [
        date(year, month, min(day, monthrange(year, month)[1]))
        for year in (2027, 2028, 2029)
        for month in range(1, 13, every)
    ]
    assert [due.occurrence for due in found] == expected


def test_a_yearly_29_february_is_28_february_in_other_years() -> None:
    controls = Controls(step=Step.YEARS, month=2, day=29)
    found = preview(to_repeat(controls, TUESDAY), after=None, count=4)
    assert [due.occurrence.isoformat() for due in found] == [
        "2027-02-28",
        "2028-02-29",
        "2029-02-28",
        "2030-02-28",
    ]


def test_every_second_week_follows_the_household_s_week() -> None:
    """RFC 5545 3.8.5.3, the examples with WKST: Sunday weeks give other dates."""
    controls = Controls(every=2, weekdays=frozenset({1, 6}))
    start = date(1997, 8, 5)
    monday, sunday = to_repeat(controls, start, 0), to_repeat(controls, start, 6)
    days = [
        [due.occurrence.day for due in preview(one, after=None, count=4)]
        for one in (monday, sunday)
    ]
    assert days == [[5, 10, 19, 24], [5, 17, 19, 31]]
    assert from_rule(sunday.rule, start, 6) == controls
    # In a household with Monday weeks the controls would change the dates, so they step back.
    assert from_rule(sunday.rule, start, 0) is None


@pytest.mark.parametrize(
    ("wrong", "reason"),
    [
        ({"every": 0}, "Every so many"),
        ({"weekdays": frozenset({7})}, "weekdays"),
        ({"day": 32}, "day of the month"),
        ({"day": -2}, "day of the month"),
        ({"month": 13}, "month"),
        ({"nth": 5}, "first to the fourth"),
        ({"weekday": 7}, "weekday"),
        ({"ends": Ends.ON_DATE}, "on which date"),
        ({"ends": Ends.AFTER_TIMES}, "how many times"),
        ({"ends": Ends.AFTER_TIMES, "times": 5_001}, "how many times"),
        ({"grace_days": -1}, "grace"),
        ({"step": Step.DAYS, "window": Window.WEEK}, "longer step"),
        ({"step": Step.WEEKS, "window": Window.MONTH}, "longer step"),
    ],
)
def test_controls_that_do_not_fit_are_refused(wrong: dict[str, object], reason: str) -> None:
    with pytest.raises(RuleError, match=reason):
        Controls(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("controls", "reason"),
    [
        (Controls(step=Step.YEARS, month=4, day=31), "no day 31: its last is 30"),
        (Controls(step=Step.YEARS, month=2, day=30), "no day 30: its last is 29"),
        (Controls(months=frozenset()), "no month"),
        (Controls(ends=Ends.ON_DATE, until=date(2026, 3, 16)), "ends before it starts"),
        (
            Controls(counted=Counted.LAST_DONE, ends=Ends.AFTER_TIMES, times=3),
            "has no end",
        ),
    ],
)
def test_controls_that_make_no_repeat_are_refused(controls: Controls, reason: str) -> None:
    with pytest.raises(RuleError, match=reason):
        to_repeat(controls, TUESDAY)


@quick
@given(made=repeats_by_controls())
def test_controls_are_read_back_from_what_they_made(made: tuple[Controls, Repeat]) -> None:
    controls, repeat = made
    shown = from_repeat(repeat)
    assert shown is not None
    again = to_repeat(shown, repeat.start, repeat.week_start)
    # Only a number of months that is whole years may be written otherwise.
    assert again == repeat
    if controls.counted is Counted.CALENDAR:
        assert (shown.every, shown.step, shown.ends) == (
            controls.every,
            controls.step,
            controls.ends,
        )
    # What is saved has an end date for a count, and is shown just as well.
    saved = for_saving(repeat)
    shown = from_repeat(saved)
    assert shown is not None
    assert shown.ends is not Ends.AFTER_TIMES


@settings(quick, max_examples=400)
@given(
    text=rule_texts(like_dateutil=True),
    start=starts,
    window=st.sampled_from(Window),
    months=st.one_of(st.just(range(1, 13)), st.sets(st.integers(1, 12), min_size=1)),
)
def test_controls_shown_for_any_rule_mean_the_same_dates(
    text: str, start: date, window: Window, months: set[int]
) -> None:
    try:
        repeat = Repeat(Kind.RULE, start, rule=text, window=window, months=frozenset(months))
    except RuleError:
        assume(False)
        raise
    shown = from_repeat(repeat)
    if shown is None:
        return
    again = to_repeat(shown, start)
    last = start + timedelta(days=1_500)
    assert due_between(again, first=start, last=last) == due_between(repeat, first=start, last=last)


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1",
        "FREQ=MONTHLY;BYMONTHDAY=1,15",
        "FREQ=MONTHLY;BYDAY=5MO",
        "FREQ=YEARLY;BYYEARDAY=100",
        "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
        "FREQ=YEARLY;INTERVAL=2;BYMONTH=4,10;BYMONTHDAY=1",
        "FREQ=DAILY;BYDAY=MO",
    ],
)
def test_rules_beyond_the_controls_are_left_as_text(rule: str) -> None:
    assert from_rule(rule, TUESDAY) is None


def test_by_month_is_shown_as_a_season() -> None:
    shown = from_rule("FREQ=YEARLY;BYMONTH=4,10;BYDAY=-1SU", TUESDAY)
    assert shown == Controls(
        step=Step.MONTHS, by=By.WEEKDAY, nth=LAST, weekday=6, months=frozenset({4, 10})
    )
    with pytest.raises(RuleError):
        from_rule("every now and then", TUESDAY)


def test_a_window_follows_the_start_where_it_did() -> None:
    controls = Controls(window=Window.WEEK, on_away=Shift.LATER)
    shown = from_repeat(to_repeat(controls, TUESDAY))
    assert shown == controls
    monthly = replace(controls, step=Step.MONTHS, window=Window.MONTH)
    shown = from_repeat(to_repeat(monthly, date(2026, 1, 31)))
    assert shown == monthly

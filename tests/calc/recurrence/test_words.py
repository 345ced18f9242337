"""Sentences, by a table for every family and by a reader that knows nothing of rules."""

from datetime import date, timedelta
from itertools import islice, takewhile

import pytest
from hypothesis import assume, given, settings

from household.calc.recurrence.controls import (
    LAST,
    By,
    Controls,
    Counted,
    Ends,
    Missed,
    Step,
    to_repeat,
)
from household.calc.recurrence.repeat import (
    Kind,
    Repeat,
    Shift,
    Window,
    due_between,
    next_nominal,
)
from household.calc.recurrence.words import missed_sentence, sentence
from tests.calc.recurrence.reading import read
from tests.calc.recurrence.some_controls import ALL_YEAR, repeats_by_controls

TUESDAY = date(2026, 3, 17)
WEEK, MONTH = Window.WEEK, Window.MONTH
FROM = "from 17 March 2026, with no end date."


@pytest.mark.parametrize(
    ("controls", "expected"),
    [
        (Controls(step=Step.DAYS), f"Every day, {FROM}"),
        (Controls(step=Step.DAYS, every=3), f"Every 3 days, {FROM}"),
        (Controls(), f"Every week on Tuesday, {FROM}"),
        (
            Controls(every=2, weekdays=frozenset({1, 4})),
            f"Every 2 weeks on Tuesday and Friday, {FROM}",
        ),
        (
            Controls(weekdays=frozenset({0, 2, 4})),
            "Every week on Monday, Wednesday and Friday, from 18 March 2026, with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, day=22),
            "Every month on the 22nd, from 22 March 2026, with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, every=3, day=31),
            "Every 3 months on the 31st, or the last day of a shorter month, from 31 March 2026, "
            "with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, day=30, short_month_last=False),
            "Every month on the 30th, leaving out shorter months, from 30 March 2026, "
            "with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, day=LAST),
            "Every month on the last day, from 31 March 2026, with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, by=By.WEEKDAY, nth=LAST, weekday=4),
            "Every month on the last Friday, from 27 March 2026, with no end date.",
        ),
        (
            Controls(step=Step.YEARS, month=12, day=24),
            "Every year on 24 December, from 24 December 2026, with no end date.",
        ),
        (
            Controls(step=Step.YEARS, month=2, day=29),
            "Every year on 29 February, or the last day of a shorter month, from 28 February "
            "2027, with no end date.",
        ),
        (
            Controls(step=Step.YEARS, every=2, month=5, by=By.WEEKDAY, nth=2, weekday=6),
            "Every 2 years on the second Sunday of May, from 10 May 2026, with no end date.",
        ),
        (
            Controls(ends=Ends.ON_DATE, until=date(2026, 6, 30)),
            "Every week on Tuesday, from 17 March 2026, until 30 June 2026.",
        ),
        (
            Controls(ends=Ends.AFTER_TIMES, times=10),
            "Every week on Tuesday, from 17 March 2026, 10 times.",
        ),
        (Controls(window=WEEK), "Any day of every week, from 17 March 2026, with no end date."),
        (Controls(every=2, window=WEEK), f"Any day of every second week, {FROM}"),
        (Controls(every=5, window=WEEK), f"Any day of every 5th week, {FROM}"),
        (
            Controls(weekdays=frozenset({1, 4}), window=WEEK),
            f"Twice in every week, on any days, {FROM}",
        ),
        (Controls(step=Step.MONTHS, window=MONTH), f"Any day of every month, {FROM}"),
        (
            Controls(step=Step.YEARS, month=5, window=MONTH),
            "Any day of May, every year, from 1 May 2026, with no end date.",
        ),
        (
            Controls(step=Step.MONTHS, every=2, day=1, window=WEEK),
            "Any day of the week that holds the 1st, every second month, from 27 April 2026, "
            "with no end date.",
        ),
        (
            Controls(months=frozenset({4, 5, 6, 7, 8, 9, 10})),
            "Every week on Tuesday, only from April to October, from 7 April 2026, "
            "with no end date.",
        ),
        (
            Controls(months=frozenset({11, 12, 1, 2})),
            "Every week on Tuesday, only from November to February, from 3 November 2026, "
            "with no end date.",
        ),
        (
            Controls(months=frozenset({3, 6, 9})),
            f"Every week on Tuesday, only in March, June and September, {FROM}",
        ),
        (
            Controls(on_holiday=Shift.EARLIER, on_away=Shift.SKIP),
            f"Every week on Tuesday, {FROM} If it falls on a public holiday, it comes earlier. "
            "If everyone who may do it is away, it is left out.",
        ),
        (
            Controls(window=WEEK, on_holiday=Shift.LATER, on_away=Shift.LATER),
            f"Any day of every week, {FROM} If it falls in a week of public holidays only, it "
            "comes later. If everyone who may do it is away the whole week, it comes later.",
        ),
        (
            Controls(counted=Counted.LAST_DONE, every=10, step=Step.DAYS),
            "10 days after it was last done, the first time on 17 March 2026.",
        ),
        (
            Controls(counted=Counted.LAST_DONE, every=1, step=Step.YEARS, window=MONTH),
            "1 year after it was last done, on any day of that month, the first time from "
            "17 March 2026.",
        ),
        (
            Controls(counted=Counted.LAST_DONE, every=2, months=frozenset({5, 6, 7})),
            "2 weeks after it was last done, only from May to July, the first time on 1 May 2026.",
        ),
        (Controls(counted=Counted.ONCE), "Once, on 17 March 2026."),
        (
            Controls(counted=Counted.ONCE, window=WEEK, on_away=Shift.LATER),
            "Once, on any day of the week of 17 March 2026. If everyone who may do it is away "
            "the whole week, it comes later.",
        ),
        (Controls(counted=Counted.ONCE, window=MONTH), "Once, on any day of March 2026."),
    ],
)
def test_the_sentence_of_every_family(controls: Controls, expected: str) -> None:
    assert sentence(to_repeat(controls, TUESDAY)) == expected


@settings(derandomize=True, deadline=None, max_examples=150, database=None)
@given(made=repeats_by_controls())
def test_a_reader_finds_the_same_days_in_the_sentence(made: tuple[Controls, Repeat]) -> None:
    controls, repeat = made
    assume(controls.counted is Counted.CALENDAR)
    main = sentence(repeat).split(". If ")[0].rstrip(".") + "."
    plain = Repeat(
        Kind.RULE,
        repeat.start,
        rule=repeat.rule,
        window=repeat.window,
        months=repeat.months,
        week_start=repeat.week_start,
    )
    first = next_nominal(plain, after=None)
    assert first is not None
    last = first + timedelta(days=1_000)
    reading = read(main, repeat.week_start, last)
    found = [(due.opens, due.closes) for due in due_between(plain, first=first, last=last)]
    said = list(takewhile(lambda days: days[0] <= last, reading.windows))
    if repeat.window is Window.DAY:
        said = [days for days in said if days[0].month in reading.season]
        if reading.until:
            said = [days for days in said if days[0] <= reading.until]
        assert found == said[: reading.times]
        return
    # Which day of a window counts is not said, so a window that lies half in the season, half
    # before the end or half in view may be there or not.
    for days in sorted({*said, *found}):
        length = (days[1] - days[0]).days + 1
        each = [days[0] + timedelta(days=n) for n in range(length)]
        inside = [_inside(day, reading.season, reading.until, last) for day in each]
        if all(inside) and reading.times is None and days[0] > first:
            assert found.count(days) == said.count(days) * reading.many
        elif not any(inside):
            assert days not in found
        else:
            assert found.count(days) <= reading.many
    if reading.times is not None and reading.season == ALL_YEAR:
        assert len(found) <= reading.times
        if reading.many == 1:
            counted = list(islice(said, reading.times))
            # A window half in view may have its own day beyond it.
            in_view = [[days for days in one if days[1] <= last] for one in (found, counted)]
            assert in_view[0] == in_view[1]


def _inside(day: date, season: set[int], until: date | None, last: date) -> bool:
    return day.month in season and (until is None or day <= until) and day <= last


def test_a_rule_of_one_s_own_is_named_as_it_is() -> None:
    work_day = Repeat(Kind.RULE, TUESDAY, rule="freq=monthly;byday=mo,tu,we,th,fr;bysetpos=-1")
    assert sentence(work_day) == (
        "By a rule of your own: FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1, from 31 March 2026."
    )
    windowed = Repeat(
        Kind.RULE,
        TUESDAY,
        rule="FREQ=DAILY;INTERVAL=9",
        window=Window.WEEK,
        months=frozenset({5}),
        on_away=Shift.SKIP,
    )
    assert sentence(windowed) == (
        "By a rule of your own: FREQ=DAILY;INTERVAL=9, any day of the week it falls in, only in "
        "May, from 1 May 2026. If everyone who may do it is away the whole week, it is left out."
    )


def test_a_pasted_rule_that_the_controls_could_make_gets_their_sentence() -> None:
    repeat = Repeat(Kind.RULE, TUESDAY, rule="FREQ=YEARLY;BYMONTH=4,10;BYMONTHDAY=1")
    assert sentence(repeat) == (
        "Every month on the 1st, only in April and October, from 1 April 2026, with no end date."
    )


def test_dates_can_be_written_in_another_way() -> None:
    repeat = Repeat(Kind.RULE, TUESDAY, rule="FREQ=WEEKLY;UNTIL=20260630")
    assert sentence(repeat, date_words=date.isoformat) == (
        "Every week on Tuesday, from 2026-03-17, until 2026-06-30."
    )


def test_what_is_missed_is_said() -> None:
    assert missed_sentence(Missed.CARRY) == "If it is missed, it is carried over until it is done."
    assert missed_sentence(Missed.LAPSE) == "If it is missed, it lapses."
    assert missed_sentence(Missed.LAPSE, 1) == "If it is missed, it lapses after 1 day."
    assert missed_sentence(Missed.LAPSE, 3) == "If it is missed, it lapses after 3 days."

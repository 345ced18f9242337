"""Spreading new chores over the days, and their first turns over the people.

The rules are common practice without a source; what is checked here is that they hold.
"""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.recurrence.repeat import Kind, Repeat, Unit, Window, due_next
from household.calc.spreading import SPAN, Round, Wanted, first_turns, spread, week_minutes

TODAY = date(2026, 3, 12)  # a Thursday
EVEN = [60] * 7
WEEKLY = Repeat(Kind.RULE, TODAY, "FREQ=WEEKLY", window=Window.WEEK)
MONTHLY = Repeat(Kind.RULE, TODAY, "FREQ=MONTHLY;BYMONTHDAY=1", window=Window.MONTH)
DAILY = Repeat(Kind.RULE, TODAY, "FREQ=DAILY")
TUESDAYS = Repeat(Kind.RULE, TODAY, "FREQ=WEEKLY;BYDAY=TU")
HALF_YEARLY = Repeat(Kind.AFTER_DONE, TODAY, every=6, unit=Unit.MONTHS)


def several(repeat: Repeat, count: int, minutes: int = 20) -> list[Wanted]:
    return [Wanted(f"{number:02}", minutes, repeat) for number in range(count)]


def test_seven_weekly_chores_get_seven_weekdays() -> None:
    begun = spread(several(WEEKLY, 7), free=EVEN, today=TODAY)
    assert {each.repeat.rule[-2:] for each in begun.values()} == {
        "MO", "TU", "WE", "TH", "FR", "SA", "SU",
    }  # fmt: skip
    assert all(each.repeat.window is Window.DAY for each in begun.values())


def test_the_day_with_most_minutes_left_comes_first() -> None:
    free = [30, 30, 30, 30, 30, 90, 60]
    begun = spread(several(WEEKLY, 3), free=free, today=TODAY)
    assert [begun[key].repeat.rule[-2:] for key in ("00", "01", "02")] == ["SA", "SA", "SU"]


def test_days_that_are_full_already_are_left_alone() -> None:
    saturdays = {TODAY + timedelta(days=2 + 7 * week): 500 for week in range(8)}
    free = [30, 30, 30, 30, 30, 90, 60]
    begun = spread(several(WEEKLY, 1), free=free, today=TODAY, taken=saturdays)
    assert begun["00"].repeat.rule == "FREQ=WEEKLY;BYDAY=SU"


def test_named_days_are_kept_and_counted() -> None:
    wanted = [Wanted("named", 50, TUESDAYS), Wanted("free", 20, WEEKLY), Wanted("daily", 5, DAILY)]
    free = [10, 60, 10, 10, 10, 10, 40]
    begun = spread(wanted, free=free, today=TODAY)
    assert begun["named"].repeat.rule == "FREQ=WEEKLY;BYDAY=TU"
    assert begun["daily"].repeat.rule == "FREQ=DAILY"
    assert begun["free"].repeat.rule == "FREQ=WEEKLY;BYDAY=SU"


def test_monthly_chores_spread_over_the_weeks_of_the_month() -> None:
    begun = spread(several(MONTHLY, 4), free=[10, 10, 10, 10, 10, 60, 10], today=TODAY)
    rules = sorted(each.repeat.rule for each in begun.values())
    assert rules == [f"FREQ=MONTHLY;BYDAY={nth}SA" for nth in (1, 2, 3, 4)]
    assert all(each.grace_days == 7 for each in begun.values())


def test_every_other_week_uses_both_weeks() -> None:
    fortnightly = Repeat(Kind.RULE, TODAY, "FREQ=WEEKLY;INTERVAL=2", window=Window.WEEK)
    begun = spread(several(fortnightly, 2), free=[0, 0, 0, 0, 0, 60, 0], today=TODAY)
    starts = sorted(each.repeat.start for each in begun.values())
    assert [day.weekday() for day in starts] == [5, 5]
    assert (starts[1] - starts[0]).days == 7


def test_counted_from_last_time_begins_within_eight_weeks_and_its_own_wait() -> None:
    soon = Repeat(Kind.AFTER_DONE, TODAY, every=5, unit=Unit.DAYS)
    wanted = [*several(HALF_YEARLY, 12, 45), Wanted("soon", 5, soon)]
    begun = spread(wanted, free=EVEN, today=TODAY)
    starts = [begun[each.key].repeat.start for each in wanted]
    assert len(set(starts)) == len(starts)
    assert all(TODAY <= day < TODAY + timedelta(days=SPAN) for day in starts)
    assert begun["soon"].repeat.start < TODAY + timedelta(days=5)


def test_a_season_is_kept() -> None:
    winter = Repeat(Kind.AFTER_DONE, TODAY, every=10, unit=Unit.DAYS, months=frozenset({12, 1, 2}))
    summer = Repeat(Kind.AFTER_DONE, TODAY, every=6, unit=Unit.WEEKS, months=frozenset({4, 5}))
    begun = spread(
        [Wanted("winter", 10, winter), Wanted("summer", 10, summer)], free=EVEN, today=TODAY
    )
    assert begun["winter"].repeat.start == TODAY  # waits for its season by itself
    assert begun["summer"].repeat.start.month == 4


repeats = st.sampled_from([WEEKLY, MONTHLY, DAILY, TUESDAYS, HALF_YEARLY])
jobs = st.lists(st.tuples(repeats, st.integers(1, 90)), max_size=12)


@settings(max_examples=40, deadline=None)
@given(jobs, st.lists(st.integers(0, 240), min_size=7, max_size=7))
def test_each_comes_round_and_the_same_question_has_the_same_answer(
    found: list[tuple[Repeat, int]], free: list[int]
) -> None:
    wanted = [
        Wanted(str(number), minutes, repeat) for number, (repeat, minutes) in enumerate(found)
    ]
    begun = spread(wanted, free=free, today=TODAY)
    assert list(begun) == [each.key for each in wanted]
    assert begun == spread(reversed(wanted), free=free, today=TODAY)
    for each in begun.values():
        due = due_next(each.repeat, after=None)
        assert due is not None
        assert TODAY <= due.opens < TODAY + timedelta(days=SPAN)


@pytest.mark.parametrize(
    ("repeat", "minutes", "week"),
    [
        (DAILY, 10, Fraction(70)),
        (TUESDAYS, 10, Fraction(10)),
        (HALF_YEARLY, 60, Fraction(60 * 7, 180)),
        (Repeat(Kind.ONCE, TODAY), 60, Fraction(0)),
        (Repeat(Kind.AFTER_DONE, TODAY, every=10, months=frozenset({4, 5, 6})), 40, Fraction(7)),
    ],
)
def test_minutes_a_week(repeat: Repeat, minutes: int, week: Fraction) -> None:
    assert week_minutes(repeat, minutes) == week


def test_first_turns_are_shared_by_agreed_share() -> None:
    rounds = [Round(f"{number}", Fraction(10), [1, 2]) for number in range(6)]
    before = first_turns(rounds, {1: 10, 2: 5})
    begins = [{1: 2, 2: 1}[before[key] or 0] for key in before]
    assert sorted(begins) == [1, 1, 1, 1, 2, 2]


def test_who_has_no_share_begins_only_what_nobody_else_may() -> None:
    rounds = [Round("both", Fraction(50), [3, 1]), Round("own", Fraction(5), [3])]
    before = first_turns([*rounds, Round("nobody", Fraction(1), [])], {1: 10, 3: 0})
    assert before == {"both": 3, "own": None, "nobody": None}

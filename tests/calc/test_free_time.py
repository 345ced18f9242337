"""Days away and minutes free. The rules are our own; the checks are counted by hand."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.free_time import Absence, all_away, away_days, free_minutes, is_away

WEEKLY = (60, 30, 30, 30, 0, 90, 120)
# Away Friday to Thursday every 2 weeks, from Friday 4 December 2026.
HALF_THE_TIME = Absence(date(2026, 12, 4), date(2026, 12, 10), every_weeks=2)


def days(first: date, last: date) -> set[date]:
    return {first + timedelta(days=n) for n in range((last - first).days + 1)}


def test_both_ends_of_an_absence_are_days_away() -> None:
    trip = [Absence(date(2026, 8, 1), date(2026, 8, 3))]
    assert not is_away(date(2026, 7, 31), trip)
    assert is_away(date(2026, 8, 1), trip)
    assert is_away(date(2026, 8, 3), trip)
    assert not is_away(date(2026, 8, 4), trip)


def test_an_absence_may_be_one_day() -> None:
    day = date(2026, 8, 1)
    assert away_days([Absence(day, day)], date(2026, 7, 1), date(2026, 8, 31)) == {day}


def test_a_second_home_takes_every_other_week() -> None:
    found = away_days([HALF_THE_TIME], date(2026, 12, 1), date(2027, 1, 10))
    assert found == (
        days(date(2026, 12, 4), date(2026, 12, 10))
        | days(date(2026, 12, 18), date(2026, 12, 24))
        | days(date(2027, 1, 1), date(2027, 1, 7))
    )


def test_an_absence_does_not_reach_back_before_it_starts() -> None:
    assert not is_away(date(2026, 11, 20), [HALF_THE_TIME])


def test_the_last_day_of_a_repeat_may_cut_an_absence_short() -> None:
    ending = Absence(date(2026, 12, 4), date(2026, 12, 10), 2, until=date(2026, 12, 20))
    found = away_days([ending], date(2026, 12, 11), date(2027, 2, 1))
    assert found == days(date(2026, 12, 18), date(2026, 12, 20))


def test_absences_longer_than_their_repeat_join_up() -> None:
    always = Absence(date(2026, 12, 4), date(2026, 12, 20), every_weeks=1)
    assert is_away(date(2030, 1, 1), [always])


def test_minutes_go_by_the_weekday_and_are_none_when_away() -> None:
    assert free_minutes(date(2026, 12, 7), WEEKLY, []) == 60  # a Monday
    assert free_minutes(date(2026, 12, 13), WEEKLY, []) == 120  # a Sunday
    assert free_minutes(date(2026, 12, 7), WEEKLY, [HALF_THE_TIME]) == 0


def test_everybody_is_away_only_where_the_absences_meet() -> None:
    others = [Absence(date(2026, 12, 9), date(2026, 12, 19))]
    found = all_away([[HALF_THE_TIME], others], date(2026, 12, 1), date(2026, 12, 31))
    assert found == {date(2026, 12, 9), date(2026, 12, 10), date(2026, 12, 18), date(2026, 12, 19)}


def test_one_member_at_home_is_enough() -> None:
    assert all_away([[HALF_THE_TIME], []], date(2026, 12, 1), date(2026, 12, 31)) == set()


def test_without_members_there_is_no_day_on_which_all_are_away() -> None:
    assert all_away([], date(2026, 12, 1), date(2026, 12, 31)) == set()


@pytest.mark.parametrize(
    ("ends", "every", "until"),
    [
        (date(2026, 8, 1), None, None),
        (date(2026, 8, 3), 0, None),
        (date(2026, 8, 3), 2, date(2026, 8, 1)),
    ],
)
def test_an_absence_that_makes_no_sense_is_refused(
    ends: date, every: int | None, until: date | None
) -> None:
    with pytest.raises(ValueError, match="absence"):
        Absence(date(2026, 8, 2), ends, every, until)


@pytest.mark.parametrize("weekly", [(), (10,) * 6, (10, 10, 10, -1, 10, 10, 10)])
def test_a_week_of_free_minutes_has_seven_figures(weekly: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="seven"):
        free_minutes(date(2026, 12, 7), weekly, [])


@given(
    length=st.integers(0, 40),
    every=st.integers(1, 5),
    offset=st.integers(-30, 400),
)
@settings(max_examples=150, deadline=None)
def test_a_repeat_is_the_same_absence_written_out(length: int, every: int, offset: int) -> None:
    starts = date(2026, 12, 4)
    repeating = Absence(starts, starts + timedelta(days=length), every)
    steps = (timedelta(weeks=every * n) for n in range(420 // 7))
    written_out = [Absence(starts + step, repeating.ends + step) for step in steps]
    day = starts + timedelta(days=offset)
    assert is_away(day, [repeating]) == is_away(day, written_out)

"""Weeks and their numbers, against ISO 8601."""

import csv
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.history import day_words, iso_label, week_number_words, week_of, weeks_back

DATA = Path(__file__).parent.parent / "data"


def rows() -> list[dict[str, str]]:
    with (DATA / "iso8601_weeks.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ISO 8601-1: week 1 holds the first Thursday of the year; edges and every 53-week year to 2099.
@pytest.mark.parametrize("row", rows(), ids=lambda row: row["date"])
def test_weeks_have_their_iso_number(row: dict[str, str]) -> None:
    day = date.fromisoformat(row["date"])
    label, _, weekday = row["iso_week_date"].rpartition("-")
    assert iso_label(day) == label
    first, _ = week_of(day)
    assert (day - first).days + 1 == int(weekday)
    year, _, week = label.partition("-W")
    assert week_number_words(day) == f"Week {int(week)} of {year}"


@pytest.mark.parametrize(
    ("week_start", "first", "last"),
    [
        (0, date(2026, 12, 28), date(2027, 1, 3)),
        (6, date(2026, 12, 27), date(2027, 1, 2)),
        (5, date(2026, 12, 26), date(2027, 1, 1)),
        (4, date(2027, 1, 1), date(2027, 1, 7)),
    ],
)
def test_a_week_begins_on_the_first_day_of_the_household(
    week_start: int, first: date, last: date
) -> None:
    assert week_of(date(2027, 1, 1), week_start) == (first, last)


# Our own rule: the number is that of the week's Thursday.
@pytest.mark.parametrize(
    ("day", "week_start", "words"),
    [
        (date(2027, 1, 1), 6, "Week 53 of 2026"),  # Sunday 27 December to Saturday 2 January
        (date(2027, 1, 3), 6, "Week 1 of 2027"),  # a Sunday begins the next week
        (date(2027, 1, 3), 0, "Week 53 of 2026"),
        (date(2027, 1, 1), 4, "Week 1 of 2027"),  # Friday to Thursday 7 January
    ],
)
def test_other_weeks_take_the_number_of_their_thursday(
    day: date, week_start: int, words: str
) -> None:
    assert week_number_words(day, week_start) == words


def test_looking_back_ends_with_the_week_of_today() -> None:
    assert weeks_back(date(2027, 1, 1), 3) == (
        (date(2026, 12, 14), date(2026, 12, 20)),
        (date(2026, 12, 21), date(2026, 12, 27)),
        (date(2026, 12, 28), date(2027, 1, 3)),
    )


def test_looking_back_no_weeks_gives_none() -> None:
    assert weeks_back(date(2027, 1, 1), 0) == ()


@pytest.mark.parametrize("week_start", [-1, 7])
def test_a_week_starts_on_one_of_seven_days(week_start: int) -> None:
    with pytest.raises(ValueError, match="Monday"):
        week_of(date(2027, 1, 1), week_start)


def test_a_day_is_written_without_leading_zero() -> None:
    assert day_words(date(2026, 12, 7)) == "7 December"


@given(
    day=st.dates(date(1990, 1, 1), date(2100, 12, 31)),
    n=st.integers(1, 60),
    week_start=st.integers(0, 6),
)
@settings(max_examples=100, deadline=None)
def test_weeks_follow_each_other_without_a_gap(day: date, n: int, week_start: int) -> None:
    weeks = weeks_back(day, n, week_start)
    assert len(weeks) == n
    assert weeks[-1][0] <= day <= weeks[-1][1]
    for (first, last), (following, _) in pairwise(weeks):
        assert last - first == timedelta(days=6)
        assert following - last == timedelta(days=1)
    assert len({week_number_words(first, week_start) for first, _ in weeks}) == n

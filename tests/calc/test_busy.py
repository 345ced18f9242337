"""How much of a day is taken. The offsets of Dublin's clock changes are IANA's."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.busy import WAKING, Span, Waking, busy_minutes, free_after

DAY = date(2026, 3, 12)
ZONE = "Europe/Dublin"


def at(hour: int, minute: int = 0, day: date = DAY) -> datetime:
    """A moment of a winter's day in Dublin, which is UTC then."""
    return datetime.combine(day, time(hour, minute), UTC)


def span(starts: datetime, ends: datetime) -> Span:
    return Span(starts.date(), ends.date(), starts, ends)


def test_an_hour_takes_an_hour() -> None:
    assert busy_minutes(DAY, [span(at(10), at(11))], WAKING, ZONE) == 60


def test_what_overlaps_counts_once() -> None:
    spans = [span(at(10), at(12)), span(at(11), at(13)), span(at(11, 30), at(11, 45))]
    assert busy_minutes(DAY, spans, WAKING, ZONE) == 180


def test_only_waking_hours_count() -> None:
    night = [span(at(0), at(8)), span(at(21, 30), at(23, 59))]
    assert busy_minutes(DAY, night, WAKING, ZONE) == 60 + 30
    assert busy_minutes(DAY, night, Waking(time(9), time(20)), ZONE) == 0


def test_a_whole_day_takes_all_of_it() -> None:
    assert busy_minutes(DAY, [Span(DAY, DAY)], WAKING, ZONE) == 15 * 60


def test_what_goes_over_midnight_takes_part_of_both_days() -> None:
    late = span(at(21), at(8, day=DAY + timedelta(days=1)))
    assert busy_minutes(DAY, [late], WAKING, ZONE) == 60
    assert busy_minutes(DAY + timedelta(days=1), [late], WAKING, ZONE) == 60
    assert busy_minutes(DAY + timedelta(days=2), [late], WAKING, ZONE) == 0


def test_the_households_own_clock_says_when_waking_begins() -> None:
    """On 29 March 2026 Dublin goes to +01:00, so seven o'clock is 06:00 UTC."""
    summer = date(2026, 3, 30)
    early = span(at(6, day=summer), at(7, day=summer))
    assert busy_minutes(summer, [early], WAKING, ZONE) == 60
    assert busy_minutes(DAY, [span(at(6), at(7))], WAKING, ZONE) == 0


def test_nothing_takes_nothing_and_no_day_is_less_than_full() -> None:
    assert busy_minutes(DAY, [], WAKING, ZONE) == 0
    assert busy_minutes(DAY, [span(at(10), at(10))], WAKING, ZONE) == 0
    assert (free_after(30, 20), free_after(30, 60)) == (10, 0)


moments = st.integers(0, 24 * 60 - 1).map(lambda minute: at(0) + timedelta(minutes=minute))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(moments, moments), max_size=8))
def test_it_equals_counting_the_minutes_one_by_one(pairs: list[tuple[datetime, datetime]]) -> None:
    spans = [span(min(pair), max(pair)) for pair in pairs]
    minutes = [at(7) + timedelta(minutes=n) for n in range(15 * 60)]
    counted = sum(
        any(each.starts_at <= minute < each.ends_at for each in spans) for minute in minutes
    )
    assert busy_minutes(DAY, spans, WAKING, ZONE) == counted

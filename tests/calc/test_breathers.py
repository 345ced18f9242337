"""Rotation without repeats, pairs that all come round, and the day with the most room.

What is tested is what the household is promised; the rules are common practice, no source.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.breathers import (
    DayRoom,
    best_day,
    next_of,
    next_pair,
    pairs_of,
    still_fresh,
)

MONDAY = date(2026, 3, 16)
DAYS = [MONDAY + timedelta(days=n) for n in range(7)]
some_ids = st.sets(st.integers(1, 40), min_size=1, max_size=9)


def weeks_of(ids: set[int], weeks: int, seed: str = "a home") -> list[int]:
    """What so many weeks offer, one after the other."""
    before: list[int] = []
    for week in range(weeks):
        found = next_of(ids, before, f"{seed} {week}")
        assert found is not None
        before.append(found)
    return before


@settings(max_examples=60, deadline=None)
@given(some_ids, st.text(max_size=5))
def test_no_idea_comes_twice_before_all_have_come(ids: set[int], seed: str) -> None:
    offered = weeks_of(ids, 4 * len(ids), seed)
    for start in range(0, len(offered), len(ids)):
        assert set(offered[start : start + len(ids)]) == ids


@settings(max_examples=60, deadline=None)
@given(some_ids.filter(lambda ids: len(ids) > 1), st.text(max_size=5))
def test_none_comes_in_two_weeks_running(ids: set[int], seed: str) -> None:
    offered = weeks_of(ids, 4 * len(ids), seed)
    assert all(one != after for one, after in pairwise(offered))


@settings(max_examples=60, deadline=None)
@given(some_ids, some_ids, st.integers(0, 12))
def test_what_is_added_comes_in_the_round_that_goes_on(
    ids: set[int], more: set[int], weeks: int
) -> None:
    before = weeks_of(ids, weeks)
    new = {each + 100 for each in more}
    left = still_fresh(ids | new, before)
    assert new <= left
    for n in range(len(left)):
        found = next_of(ids | new, before, f"later {n}")
        assert found is not None
        before.append(found)
    assert set(before[weeks:]) == left


@settings(max_examples=60, deadline=None)
@given(some_ids.filter(lambda ids: len(ids) > 2), st.integers(0, 12))
def test_what_was_put_away_never_comes_and_spoils_no_round(ids: set[int], weeks: int) -> None:
    before = weeks_of(ids, weeks)
    kept = set(sorted(ids)[1:])
    begun, coming = len(still_fresh(kept, before)), list[int]()
    for n in range(begun + 2 * len(kept)):
        found = next_of(kept, [*before, *coming], f"later {n}")
        assert found is not None
        coming.append(found)
    assert set(coming[:begun]) == still_fresh(kept, before)
    assert set(coming[begun : begun + len(kept)]) == set(coming[-len(kept) :]) == kept


def test_the_same_home_and_week_give_the_same_offer() -> None:
    assert weeks_of({3, 1, 2}, 30) == weeks_of({1, 2, 3}, 30)
    assert weeks_of(set(range(9)), 9) != weeks_of(set(range(9)), 9, "another home")


def test_another_passes_over_what_was_turned_down() -> None:
    ids, passed = {1, 2, 3, 4}, list[int]()
    for _ in ids:
        found = next_of(ids, [], "a week", passed=passed)
        assert found is not None and found not in passed
        passed.append(found)
    assert next_of(ids, [], "a week", passed=passed) is None


def test_nothing_comes_from_an_empty_list() -> None:
    assert next_of([], [1, 2], "a week") is None
    assert next_of([1], [], "a week", possible=[]) is None


people = st.sets(st.integers(1, 40), min_size=2, max_size=6)


@settings(max_examples=60, deadline=None)
@given(people, st.text(max_size=5))
def test_every_pair_comes_round_before_any_comes_again(members: set[int], seed: str) -> None:
    every, before = pairs_of(members), list[tuple[int, int]]()
    for week in range(2 * len(every)):
        pair = next_pair(members, before, f"{seed} {week}")
        assert pair is not None
        before.append(pair)
    assert sorted(before[: len(every)]) == every
    assert sorted(before[len(every) :]) == every


@settings(max_examples=60, deadline=None)
@given(people, st.data())
def test_who_is_away_waits_and_no_pair_is_lost(members: set[int], data: st.DataObject) -> None:
    every, before = pairs_of(members), list[tuple[int, int]]()
    for week in range(len(every)):
        here = data.draw(st.sets(st.sampled_from(sorted(members))))
        pair = next_pair(members, before, str(week), here=here)
        assert (pair is None) == (len(here) < 2)
        if pair is not None:
            assert set(pair) <= here
            before.append(pair)
    for week in range(2 * len(every)):
        pair = next_pair(members, before, f"all here {week}")
        assert pair is not None
        before.append(pair)
    assert set(before[-2 * len(every) :]) == set(every)


def test_nobody_waits_while_others_have_two_weeks_running() -> None:
    members, before = {1, 2, 3, 4}, list[tuple[int, int]]()
    for week in range(6):
        pair = next_pair(members, before, f"week {week}")
        assert pair is not None
        before.append(pair)
    for first, second in zip(before[::2], before[1::2], strict=True):
        assert set(first) | set(second) == members


def rooms(*minutes: int | None, away: tuple[int, ...] = ()) -> dict[date, DayRoom]:
    return {
        day: DayRoom(n in away, each)
        for n, (day, each) in enumerate(zip(DAYS, minutes, strict=True))
    }


def test_the_day_with_the_most_room_and_of_equal_ones_the_earlier() -> None:
    assert best_day([rooms(0, 10, 45, 45, 30, 0, 0)], DAYS, 60) == DAYS[2]
    # All of it fits on both: the roomier one.
    assert best_day([rooms(0, 30, 45, 50, 30, 0, 0)], DAYS, 20) == DAYS[3]


def test_for_two_counts_what_fits_into_what_each_has_left() -> None:
    one, other = rooms(200, 25, 0, 0, 0, 0, 0), rooms(0, 25, 0, 0, 0, 0, 0)
    assert best_day([one, other], DAYS, 30, least=2) == DAYS[1]


def test_days_with_more_at_home_come_first_and_nobody_is_alone_in_it() -> None:
    one = rooms(90, 0, 10, 0, 0, 0, 0)
    other = rooms(90, 0, 10, 0, 0, 0, 0, away=(0,))
    assert best_day([one, other], DAYS, 30, least=2) == DAYS[2]
    gone = rooms(*[90] * 7, away=tuple(range(7)))
    assert best_day([one, gone], DAYS, 30, least=2) is None


def test_a_full_week_and_time_that_nobody_plans_have_no_day() -> None:
    assert best_day([rooms(*[0] * 7)], DAYS, 20) is None
    assert best_day([rooms(*[None] * 7)], DAYS, 20) is None
    assert best_day([rooms(*[None] * 7), rooms(0, 0, 0, 0, 5, 0, 0)], DAYS, None) == DAYS[4]
    assert best_day([rooms(*[60] * 7)], [], 20) is None

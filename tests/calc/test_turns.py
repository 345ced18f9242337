"""Whose turn is next. The rule is our own."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.turns import next_in_turn


@pytest.mark.parametrize(
    ("last", "away", "following"),
    [
        (None, set(), 7),
        (7, set(), 3),
        (3, set(), 5),
        (5, set(), 7),  # round to the start
        (7, {3}, 5),  # someone away is passed over
        (7, {3, 5}, 7),  # nobody else is there
        (None, {7}, 3),
        (99, set(), 7),  # the last has left the household
        (7, {3, 5, 7}, None),
    ],
)
def test_turns_follow_the_order(last: int | None, away: set[int], following: int | None) -> None:
    assert next_in_turn([7, 3, 5], last, away) == following


def test_nobody_is_next_where_there_is_no_order() -> None:
    assert next_in_turn([], 7, set()) is None


def test_a_member_listed_twice_counts_once() -> None:
    assert next_in_turn([1, 2, 1, 3], 1, set()) == 2
    assert next_in_turn([1, 2, 1, 3], 2, set()) == 3


@given(
    order=st.lists(st.integers(1, 9), min_size=1, unique=True),
    away=st.sets(st.integers(1, 9)),
)
@settings(max_examples=100, deadline=None)
def test_going_round_gives_everybody_who_is_there_one_turn(
    order: list[int], away: set[int]
) -> None:
    there = [member for member in order if member not in away]
    turns: list[int] = []
    last: int | None = None
    for _ in there:
        last = next_in_turn(order, last, away)
        assert last is not None
        turns.append(last)
    assert turns == there

"""Fairness against published and computed values; the source of each is in its row of
tests/data/fairness_examples.json."""

import json
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.fairness import (
    carry,
    gini,
    heaviest_load_bound,
    is_prop1,
    jain_index,
    list_schedule,
    longest_first,
    round_robin,
    round_to_sum,
    split_by_weight,
    targets,
    weighted_envy,
)

EXAMPLES: dict[str, list[dict[str, Any]]] = json.loads(
    (Path(__file__).parents[1] / "data" / "fairness_examples.json").read_text()
)
# The one row whose loads are given in words: ten of a hundred get two, the rest nothing.
IN_WORDS = {"10 x 2 and 90 x 0": [2] * 10 + [0] * 90}


def spread(row: dict[str, Any]) -> list[int]:
    return IN_WORDS[row["x"]] if isinstance(row["x"], str) else row["x"]


@pytest.mark.parametrize("row", EXAMPLES["jain"], ids=lambda row: str(row["x"]))
def test_jain_index(row: dict[str, Any]) -> None:
    assert jain_index(spread(row)) == Fraction(row["exact"])


@pytest.mark.parametrize("row", EXAMPLES["gini"], ids=lambda row: str(row["x"]))
def test_gini(row: dict[str, Any]) -> None:
    assert gini(spread(row)) == Fraction(row["exact"])


def test_no_work_at_all_is_even() -> None:
    assert jain_index([0, 0]) == 1
    assert gini([0, 0]) == 0


@pytest.mark.parametrize("row", EXAMPLES["makespan"], ids=lambda row: f"{row['jobs']}")
def test_longest_first_and_the_best_split(row: dict[str, Any]) -> None:
    jobs, people = row["jobs"], row["machines"]
    assert max(longest_first(jobs, people)) == row["lpt"]
    assert heaviest_load_bound(jobs, people) <= row["optimal"]
    if "lower_bound" in row:
        assert heaviest_load_bound(jobs, people) == row["lower_bound"]
    # Graham 1969: at most 4/3 - 1/(3m) of the best
    assert Fraction(row["lpt"], row["optimal"]) <= Fraction(4, 3) - Fraction(1, 3 * people)
    if row.get("tight"):
        assert Fraction(row["lpt"], row["optimal"]) == Fraction(row["bound"])
    if "loads" in row:
        assert list(list_schedule(jobs, people)) == row["loads"]
        assert max(row["loads"]) == row["list_scheduling_in_order"]


@pytest.mark.parametrize("row", EXAMPLES["chores"], ids=lambda row: row["name"])
def test_every_split_of_the_chores_is_counted_right(row: dict[str, Any]) -> None:
    costs, people = row["costs"], row["agents"]
    chores = len(costs[0])
    bundles = round_robin(costs)
    assert [list(bundle) for bundle in bundles] == row["round_robin_bundles"]
    assert (weighted_envy(bundles, costs, [1] * people) == ()) == row["round_robin_is_ef1"]
    assert is_prop1(bundles, costs) == row["round_robin_is_prop1"]
    if row["number_of_allocations"] > 1000:
        return  # counted for the small instances only
    ef1 = prop1 = 0
    for owners in product(range(people), repeat=chores):
        split = [[c for c in range(chores) if owners[c] == i] for i in range(people)]
        ef1 += weighted_envy(split, costs, [1] * people) == ()
        prop1 += is_prop1(split, costs)
    assert (ef1, prop1) == (row["number_ef1"], row["number_prop1"])


def test_the_published_household_of_four_capacities() -> None:
    # E. Elkind, A. Igarashi, N. Teh, arXiv:2410.23979, introduction: 5, 10, 7 and 4 hours
    row = EXAMPLES["weighted"][0]
    shares = split_by_weight(13, row["capacities"])
    assert [str(share) for share in shares] == row["proportional_share_of_13h"]
    assert list(shares) == [Fraction(5, 2), 5, Fraction(7, 2), 2]
    used = [share / free for share, free in zip(shares, row["capacities"], strict=True)]
    assert jain_index(used) == row["jain_of_utilisation"]
    assert targets(13 * 60, row["capacities"], [0] * 4) == (150, 300, 210, 120)


def test_envy_says_who_and_whom() -> None:
    # Two people, one weighing twice as much; worked by hand.
    burdens = [[10, 10, 10, 10], [10, 10, 10, 10]]
    found = weighted_envy([[0, 1, 2], [3]], burdens, [1, 1])
    assert [(e.by, e.of, e.excess) for e in found] == [(0, 1, 10)]
    assert weighted_envy([[0, 1, 2], [3]], burdens, [2, 1]) == ()
    assert [(e.by, e.of) for e in weighted_envy([[0, 1, 2], [3]], burdens, [2, 1], drop=0)] == [
        (0, 1)
    ]


@given(
    total=st.integers(0, 3000),
    people=st.lists(
        st.tuples(st.integers(0, 6), st.integers(-400, 400)), min_size=1, max_size=8
    ).filter(lambda rows: any(weight for weight, _ in rows)),
)
@settings(max_examples=150)
def test_targets_sum_to_the_work_and_nobody_owes_below_nothing(
    total: int, people: list[tuple[int, int]]
) -> None:
    weights, balances = zip(*people, strict=True)
    found = targets(total, weights, balances)
    assert sum(found) == total
    assert min(found) >= 0
    assert all(minutes == 0 for minutes, weight in zip(found, weights, strict=True) if not weight)


def test_who_is_ahead_is_asked_for_less_but_never_for_less_than_nothing() -> None:
    assert targets(100, [1, 1], [10, -10]) == (40, 60)
    assert targets(100, [1, 1], [300, 0]) == (0, 100)
    assert targets(100, [1, 1, 1], [300, 20, 0]) == (0, 40, 60)


def test_rounding_keeps_the_sum_and_favours_the_largest_remainder() -> None:
    # Hamilton's method; ties go to the first.
    third = Fraction(100, 3)
    assert round_to_sum([third, third, third], 100) == (34, 33, 33)
    assert round_to_sum([Fraction(5, 4), Fraction(11, 4)], 4) == (1, 3)
    with pytest.raises(ValueError, match="do not sum"):
        round_to_sum([third], 34)


def test_weights_without_anybody_are_refused() -> None:
    with pytest.raises(ValueError, match="weight"):
        split_by_weight(10, [0, 0])


@pytest.mark.parametrize(
    ("balance", "done", "share", "after"),
    [(0, 100, 90, 10), (50, 100, 60, 60), (-50, 0, 60, -60), (20, 50, 60, 10)],
)
def test_a_balance_is_carried_up_to_a_limit(
    balance: int, done: int, share: int, after: int
) -> None:
    assert carry(balance, done, share, limit=60) == after

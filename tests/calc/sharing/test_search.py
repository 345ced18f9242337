"""The search against every plan there is, and against the independent checker."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc import programme
from household.calc.sharing import EVEN, FREE_TIME, SHARES, Rates, share_out
from household.calc.sharing.aims import broken_limits, components
from household.calc.sharing.greedy import greedy
from household.calc.sharing.local import State, improve
from household.calc.sharing.solve import first_plan, plain_bound
from household.calc.sharing.table import tabulate
from tests.calc.sharing.made import every_plan, small_problem

PLENTY = 120.0


@pytest.mark.parametrize("start", range(0, 200, 20))
def test_no_plan_at_all_is_better_than_the_proven_one(start: int) -> None:
    for seed in range(start, start + 20):
        rates = (EVEN, FREE_TIME, SHARES)[seed % 3]
        problem = small_problem(seed, members=2 + seed % 2, tasks=5)
        best = min(
            rates.weigh(components(problem, plan), len(problem.members))
            for plan in every_plan(problem)
        )
        solution = share_out(problem, seconds=PLENTY, rates=rates)
        assert (solution.value, solution.bound, solution.proven) == (best, best, True)


@given(seed=st.integers(1000, 9999), tasks=st.integers(1, 40), members=st.integers(1, 6))
@settings(max_examples=40, deadline=None)
def test_local_search_keeps_hard_limits_and_its_own_sums(
    seed: int, tasks: int, members: int
) -> None:
    problem = small_problem(seed, members=members, tasks=tasks)
    table = tabulate(problem, EVEN)
    start = greedy(table, keep_settled=seed % 2 == 0)
    plan, value = improve(table, start, tries=500, seed=seed)
    assignment = table.read(plan)
    assert broken_limits(problem, assignment) == ()
    assert value == EVEN.weigh(components(problem, assignment), len(problem.members))
    assert plain_bound(table) <= value <= State(table, start).value
    assert improve(table, start, tries=500, seed=seed) == (plan, value)
    assert table.write(assignment) == plan


@pytest.mark.parametrize("seed", range(10))
def test_never_worse_than_local_search_even_without_time(seed: int) -> None:
    problem = small_problem(seed, members=5, tasks=60)
    table = tabulate(problem, EVEN)
    solution = share_out(problem, seconds=0.05)
    assert solution.value <= State(table, first_plan(table)).value
    assert solution.bound <= solution.value
    assert broken_limits(problem, solution.assignment) == ()


def test_better_plans_are_told_as_they_are_found() -> None:
    told = []
    solution = share_out(
        small_problem(3, members=4, tasks=40), seconds=PLENTY, on_better=told.append
    )
    values = [each.value for each in told]
    assert values == sorted(values, reverse=True)
    assert values[-1] == solution.value


def test_without_a_solver_a_plan_comes_back_unproven(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = small_problem(5, members=3, tasks=12)
    proven = share_out(problem, seconds=PLENTY)
    monkeypatch.setattr(programme, "solver", lambda: None)
    monkeypatch.setattr("household.calc.sharing.model.solver", lambda: None)
    alone = share_out(problem, seconds=PLENTY)
    assert (alone.proven, alone.limited_by) == (False, "no solver")
    assert alone.bound <= proven.value <= alone.value


@pytest.mark.parametrize("rates", [EVEN, FREE_TIME, SHARES])
def test_the_presets_pull_the_way_their_names_say(rates: Rates) -> None:
    problem = small_problem(11, members=3, tasks=20)
    even = share_out(problem, seconds=PLENTY).components
    parts = share_out(problem, seconds=PLENTY, rates=rates).components
    if rates is FREE_TIME:
        assert parts.overload_minutes <= even.overload_minutes
    if rates is SHARES:
        assert parts.max_share_deviation_minutes <= max(5, even.max_share_deviation_minutes)

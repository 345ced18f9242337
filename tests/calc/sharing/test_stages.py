"""What the stages of a share-out promise, against every plan there is; the words are our own."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc import programme
from household.calc.sharing import EVEN, from_json, model, share_out
from household.calc.sharing.aims import broken_limits
from household.calc.sharing.greedy import greedy
from household.calc.sharing.hull import Cell, cut, strengthen
from household.calc.sharing.levels import likely_places, whole_sums
from household.calc.sharing.local import State
from household.calc.sharing.pairs import grid, search
from household.calc.sharing.problem import Problem
from household.calc.sharing.table import Table, tabulate
from tests.benchmarks.sharing_weeks import weeks
from tests.calc.sharing.made import every_plan, small_problem

PLENTY = 300.0


@given(
    sizes=st.lists(st.integers(1, 40), min_size=1, max_size=8),
    free=st.integers(0, 80),
    data=st.data(),
)
@settings(max_examples=150, deadline=None)
def test_a_cut_for_a_full_day_cuts_off_no_set_of_whole_tasks(
    sizes: list[int], free: int, data: st.DataObject
) -> None:
    over = len(sizes)
    part = st.sampled_from([0.0, 0.25, 0.4, 0.5, 0.9, 1.0])
    values = [data.draw(part) for _ in sizes]
    relaxed = max(0.0, sum(s * v for s, v in zip(sizes, values, strict=True)) - free)
    found = cut(Cell(tuple(range(over)), tuple(sizes), free, over), [*values, relaxed])
    if found is None:
        return
    terms, high = found
    assert sum(factor * [*values, relaxed][c] for c, factor in terms) > high
    for chosen in product((0, 1), repeat=over):
        load = sum(s * c for s, c in zip(sizes, chosen, strict=True))
        whole = [*chosen, max(0, load - free)]
        assert sum(factor * whole[column] for column, factor in terms) <= high + 1e-6


@pytest.mark.parametrize("seed", range(300, 330))
def test_no_plan_goes_below_the_bound_with_cuts(seed: int) -> None:
    problem = small_problem(seed, members=2 + seed % 2, tasks=6)
    table = tabulate(problem, EVEN)
    tight = strengthen(table, model.build(table))
    least = least_of(problem, table)
    relaxed = programme.relax(model.build(table).programme, seconds=PLENTY)
    assert relaxed.bound - 1e-3 <= tight.bound <= least + 1e-3


@given(seed=st.integers(1000, 9999), tasks=st.integers(1, 40), members=st.integers(1, 6))
@settings(max_examples=40, deadline=None)
def test_the_search_by_pairs_never_loses_what_it_had_and_repeats_itself(
    seed: int, tasks: int, members: int
) -> None:
    problem = small_problem(seed, members=members, tasks=tasks)
    table = tabulate(problem, EVEN)
    start = greedy(table, keep_settled=False)
    made = grid(table)
    plan = search(made, start, steps=300, seed=seed)
    assert broken_limits(problem, table.read(plan)) == ()
    assert State(table, plan).value <= State(table, start).value
    assert search(made, start, steps=300, seed=seed) == plan


def test_the_search_by_pairs_keeps_its_best_when_it_is_stopped() -> None:
    table = tabulate(small_problem(77, members=4, tasks=40), EVEN)
    start = greedy(table, keep_settled=False)
    looked: list[int] = []

    def stop() -> bool:
        looked.append(1)
        return len(looked) == 3

    plan = search(grid(table), start, steps=50_000, stop=stop)
    assert len(looked) == 3
    assert State(table, plan).value < State(table, start).value


@pytest.mark.parametrize("seed", range(400, 430))
def test_whole_sums_bound_every_plan(seed: int) -> None:
    problem = small_problem(seed, members=2 + seed % 2, tasks=6)
    table = tabulate(problem, EVEN)
    made = model.build(table)
    relaxed = programme.relax(made.programme, seconds=PLENTY)
    levels = whole_sums(made, seconds=PLENTY)
    assert relaxed.bound - 1e-3 <= levels.bound <= least_of(problem, table) + 1


@pytest.mark.parametrize("seed", range(400, 430))
def test_no_plan_is_found_or_missed_at_a_cutoff(seed: int) -> None:
    """Every plan of the week is listed: what is cheaper than the cheapest is said not to be."""
    problem = small_problem(seed, members=2 + seed % 2, tasks=6)
    table = tabulate(problem, EVEN)
    least = least_of(problem, table)
    made = model.build(table)
    step = model.aim_step(table)
    none = model.run(table, made, seconds=PLENTY, step=step, cutoff=least - 0.5)
    found = model.run(table, made, seconds=PLENTY, step=step, cutoff=least + 0.5)
    assert (none.plan, none.proven, none.bound) == (None, True, least - 0.5)
    assert found.proven
    assert found.plan is not None
    assert State(table, found.plan).value == least


@pytest.mark.parametrize("seed", range(400, 430))
def test_likely_places_hold_every_best_plan_that_is_as_fair(seed: int) -> None:
    problem = small_problem(seed, members=2 + seed % 2, tasks=6)
    table = tabulate(problem, EVEN)
    made = model.build(table)
    answer = programme.solve(made.programme, seconds=PLENTY, step=1)
    assert answer.values is not None
    few = likely_places(made, answer.values, answer.objective + 0.5)
    again = programme.solve(few, seconds=PLENTY, step=1)
    assert again.objective == pytest.approx(answer.objective)
    assert again.objective == pytest.approx(least_of(problem, table))


def least_of(problem: Problem, table: Table) -> int:
    """The smallest aim of all plans there are."""
    plans = [table.write(each) for each in every_plan(problem)]
    return min(State(table, plan).value for plan in plans if plan is not None)


@pytest.mark.parametrize(("week", "best"), [("3x70-replan-1013", 795_785)])
def test_a_start_never_makes_a_false_proof(week: str, best: int) -> None:
    """HiGHS 1.16 called 804 520 optimal here when it was given a start and presolve; without a
    start it finds 795 785."""
    problem = next(from_json(each) for each in weeks() if each["id"] == week)
    table = tabulate(problem, EVEN)
    plain = model.build(table)
    alone = programme.solve(plain.programme, seconds=PLENTY, step=model.aim_step(table))
    solution = share_out(problem, seconds=PLENTY)
    assert (solution.value, solution.bound, solution.proven) == (best, best, True)
    assert alone.objective == pytest.approx(best)

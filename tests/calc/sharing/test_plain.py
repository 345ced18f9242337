"""The share-out against HiGHS with a programme of its own, where every plan are too many.

Nothing is shared but the table of tasks, places and costs. HiGHS 1.16 (J. Hall and others,
highs.dev) without a start is the reference.
"""

import pytest

from household.calc.sharing import EVEN, FREE_TIME, SHARES, from_json, share_out
from household.calc.sharing.table import tabulate
from tests.benchmarks.sharing_weeks import week
from tests.calc.sharing import plain
from tests.calc.sharing.made import small_problem

PLENTY = 300.0


@pytest.mark.parametrize("seed", range(3000, 3030))
def test_the_proven_aim_is_what_the_plain_programme_comes_to(seed: int) -> None:
    rates = (EVEN, FREE_TIME, SHARES)[seed % 3]
    problem = small_problem(seed, members=3 + seed % 3, tasks=14)
    reference = plain.solve(tabulate(problem, rates), seconds=PLENTY)
    found = share_out(problem, seconds=PLENTY, rates=rates)
    assert reference.proven
    assert found.proven
    assert found.value == round(reference.objective)


@pytest.mark.parametrize("seed", range(5))
def test_so_it_is_in_weeks_of_two_people(seed: int) -> None:
    problem = from_json(week(members=2, tasks=25, replan=False, coarse=seed % 2 == 0, seed=seed))
    reference = plain.solve(tabulate(problem, EVEN), seconds=PLENTY)
    found = share_out(problem, seconds=PLENTY)
    assert reference.proven
    assert found.proven
    assert found.value == round(reference.objective)

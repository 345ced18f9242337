"""Over many weeks the carried balance brings everybody to the agreed share (by simulation)."""

from random import Random

import pytest

from household.calc.fairness import carry, round_to_sum, split_by_weight
from household.calc.sharing import Member, Task, with_targets
from household.calc.sharing.aims import broken_limits, loads
from household.calc.sharing.rates import EVEN
from household.calc.sharing.solve import first_plan
from household.calc.sharing.table import tabulate

WEIGHTS = {"a": 5, "b": 3, "c": 2}
LIMIT = 240


def simulate(seed: int, weeks: int, *, carried: bool) -> tuple[dict[str, int], int]:
    """Minutes of each member after so many weeks of uneven work, and the work in all.

    Local search alone shares out: the balance has to make up for its rough edges as well.
    """
    random = Random(seed)
    balance = dict.fromkeys(WEIGHTS, 0)
    done = dict.fromkeys(WEIGHTS, 0)
    for week in range(weeks):
        tasks = tuple(
            Task(
                id=f"t{i}",
                minutes=random.choice((15, 30, 45, 90)),
                kind="k",
                days=(random.randrange(7),),
                # One person is often alone able, so that single weeks come out uneven.
                eligible=("a", "b", "c") if random.random() < 0.75 else (random.choice("bbc"),),
            )
            for i in range(8)
        )
        members = tuple(
            Member(id, weight, (120,) * 7, 0, balance[id] if carried else 0)
            for id, weight in WEIGHTS.items()
        )
        problem = with_targets(f"week {week}", members, tasks)
        table = tabulate(problem, EVEN)
        plan = table.read(first_plan(table))
        assert broken_limits(problem, plan) == ()
        work = sum(task.minutes for task in tasks)
        shares = round_to_sum(split_by_weight(work, list(WEIGHTS.values())), work)
        for (id, minutes), share in zip(loads(problem, plan).items(), shares, strict=True):
            balance[id] = carry(balance[id], minutes, share, LIMIT)
            done[id] += minutes
    return done, sum(done.values())


def furthest(done: dict[str, int], work: int) -> float:
    shares = split_by_weight(work, list(WEIGHTS.values()))
    return max(
        abs(float(done[id] - share)) / work for id, share in zip(WEIGHTS, shares, strict=True)
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_shares_converge_with_the_balance_and_less_without(seed: int) -> None:
    early = furthest(*simulate(seed, 3, carried=True))
    late = furthest(*simulate(seed, 52, carried=True))
    without = furthest(*simulate(seed, 52, carried=False))
    assert late < 0.015
    assert late <= early
    assert late < without

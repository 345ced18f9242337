"""Who does what, when: the best plan within the time, and how sure we are of it."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass

from household.calc.fairness import Envy
from household.calc.sharing import aims, model
from household.calc.sharing.greedy import greedy
from household.calc.sharing.local import State, improve
from household.calc.sharing.neutral import with_settled
from household.calc.sharing.problem import Assignment, Place, Problem
from household.calc.sharing.rates import EVEN, Components, Rates
from household.calc.sharing.table import Table, tabulate

log = logging.getLogger(__name__)
FIRST_TRIES = 300  # for each task
ALONE_TRIES = 4_000  # for each task, where nothing else will improve the plan


@dataclass(frozen=True, slots=True)
class Solution:
    """A plan with its worth. `value` is the weighted aim, `bound` a value no plan goes below.

    `proven` means no plan has a smaller value. `limited_by` says why the search ended: "proof",
    "time" (the plan may differ on another machine) or "no solver" (local search only, no proof).
    `gap` is (value - bound) / value. `unplaced` are tasks nobody may do, or on no day.
    """

    assignment: dict[str, Place]
    components: Components
    rates: Rates
    value: int
    bound: int
    proven: bool
    gap: float
    seconds: float
    limited_by: str
    envy: tuple[Envy, ...]
    unplaced: tuple[str, ...]


def share_out(
    problem: Problem,
    *,
    seconds: float,
    rates: Rates = EVEN,
    settled: Assignment | None = None,
    on_better: Callable[[Solution], None] | None = None,
) -> Solution:
    """The best plan found within about `seconds`, never worse than local search.

    `settled` takes the place of the tasks' `published`. `on_better` is told of each better plan.
    """
    began = time.perf_counter()
    if settled is not None:
        problem = with_settled(problem, settled)
    table = tabulate(problem, rates)
    floor = plain_bound(table)

    def tell(plan: list[int], bound: float, limited_by: str) -> Solution:
        return describe(
            problem,
            rates,
            table.read(plan),
            bound=max(floor, bound),
            limited_by=limited_by,
            seconds=time.perf_counter() - began,
        )

    plan = first_plan(table)
    if model.solver() is None:
        plan, _ = improve(table, plan, tries=ALONE_TRIES * len(plan), seed=2)
        return tell(plan, floor, "no solver")
    if on_better is not None:
        on_better(tell(plan, floor, "time"))
    best = State(table, plan).value

    def better(found: list[int]) -> None:
        nonlocal plan, best
        value = State(table, found).value
        if value < best:
            plan, best = found, value
            if on_better is not None:
                on_better(tell(plan, floor, "time"))

    try:
        run = model.run(
            table,
            model.build(table),
            plan,
            seconds=seconds - (time.perf_counter() - began),
            step=model.aim_step(table),
            on_better=better,
        )
    except model.SolverTrouble as trouble:
        log.warning("share-out of %s: %s", problem.id, trouble)
        return tell(plan, floor, "no solver")
    if run.plan is not None:
        better(run.plan)
    return tell(plan, best if run.proven else run.bound, "proof" if run.proven else "time")


def first_plan(table: Table) -> list[int]:
    """A good plan within a fraction of a second, the same on every machine."""
    fresh = greedy(table, keep_settled=False)
    kept = greedy(table, keep_settled=True)
    start = min(kept, fresh, key=lambda plan: State(table, plan).value)
    plan, _ = improve(table, start, tries=FIRST_TRIES * len(start))
    return plan


def describe(
    problem: Problem,
    rates: Rates,
    assignment: dict[str, Place],
    *,
    bound: float,
    limited_by: str,
    seconds: float,
) -> Solution:
    """The solution of a plan, weighed by the independent checker; RuntimeError if it breaks a
    hard limit, which would be a mistake in this package."""
    broken = aims.broken_limits(problem, assignment)
    if broken:
        raise RuntimeError(f"task {broken[0].task} {broken[0].what}")
    parts = aims.components(problem, assignment)
    value = rates.weigh(parts, len(problem.members))
    whole = min(value, _up(bound))
    return Solution(
        assignment=assignment,
        components=parts,
        rates=rates,
        value=value,
        bound=whole,
        proven=limited_by == "proof" and value == whole,
        gap=(value - whole) / value if value else 0.0,
        seconds=seconds,
        limited_by=limited_by,
        envy=aims.envy(problem, assignment),
        unplaced=problem.unplaceable,
    )


def _up(bound: float) -> int:
    """A bound on a whole number, rounded up past the solver's own rounding."""
    return -int(-(bound - 1e-3) // 1)


def plain_bound(table: Table) -> int:
    """A bound that needs no solver: work beyond all free time, and each task at its cheapest."""
    rates, people = table.rates, len(table.members)
    beyond = max(0, sum(table.minutes) - sum(sum(days) for days in table.capacity))
    cheapest = sum(min(option.cost for option in options) for options in table.options)
    return rates.overload * beyond + rates.band * (rates.largest + rates.total * people) + cheapest

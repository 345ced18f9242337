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
FIRST_TRIES = 100  # for each task
ALONE_TRIES = 4_000  # for each task, where nothing else will improve the plan
MUCH_NEARER = 0.8  # a gap this much smaller is worth telling


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
    clock: Callable[[], float] = time.perf_counter,
) -> Solution:
    """The best plan found within about `seconds`, never worse than local search.

    `settled` takes the place of the tasks' `published`. `on_better` is told of each better plan,
    and of the same plan again when it is known to be much nearer to the best. `clock` counts the
    seconds.
    """
    if settled is not None:
        problem = with_settled(problem, settled)
    search = Search(problem, tabulate(problem, rates), seconds, clock, on_better)
    if model.solver() is None:
        table = search.table
        plan, _ = improve(table, search.plan, tries=ALONE_TRIES * len(table.ids), seed=2)
        search.offer(plan)
        return search.solution("no solver")
    search.tell()
    try:
        from household.calc.sharing import stages  # needs numpy, which comes with the solver

        stages.run(search)
    except model.SolverTrouble as trouble:
        log.warning("share-out of %s: %s", problem.id, trouble)
        return search.solution("no solver")
    return search.solution("proof" if search.proven else "time")


class Search:
    """The best plan and the best bound so far of one share-out."""

    def __init__(
        self,
        problem: Problem,
        table: Table,
        seconds: float,
        clock: Callable[[], float],
        on_better: Callable[[Solution], None] | None,
    ) -> None:
        self.problem, self.table = problem, table
        self.clock, self.began, self.seconds = clock, clock(), seconds
        self.on_better = on_better
        self.plan = first_plan(table)
        self.value = State(table, self.plan).value
        self.step = model.aim_step(table)
        self.bound: float = plain_bound(table)
        self.told = 1.0

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.seconds - (self.clock() - self.began)

    @property
    def gap(self) -> float:
        """What the best plan may be too dear by, as a part of it."""
        return (self.value - self.bound) / self.value if self.value else 0.0

    @property
    def proven(self) -> bool:
        """Whether no plan can be better: aims differ by whole steps."""
        return self.value - self.bound < self.step

    def offer(self, plan: list[int]) -> None:
        """Take a plan if it is better, and tell."""
        value = State(self.table, plan).value
        if value < self.value:
            self.plan, self.value = plan, value
            self.tell()

    def raise_bound(self, bound: float) -> None:
        """Take a bound if it is better, and tell where it says much more. Aims differ by whole
        steps, so it rises to the first that is possible."""
        steps = (self.value - bound + 1e-3) // self.step
        self.bound = max(self.bound, self.value - max(0.0, steps) * self.step)
        if self.gap < MUCH_NEARER * self.told:
            self.tell()

    def tell(self) -> None:
        """Tell what there is now."""
        solution = self.solution("time")
        self.told = solution.gap
        if self.on_better is not None:
            self.on_better(solution)

    def solution(self, limited_by: str) -> Solution:
        """What there is now, as the independent checker weighs it."""
        return describe(
            self.problem,
            self.table.rates,
            self.table.read(self.plan),
            bound=self.value if limited_by == "proof" else self.bound,
            limited_by=limited_by,
            seconds=self.clock() - self.began,
        )


def first_plan(table: Table) -> list[int]:
    """A good plan within a fraction of a second, the same on every machine."""
    start = greedy_plan(table)
    plan, _ = improve(table, start, tries=FIRST_TRIES * len(start))
    return plan


def greedy_plan(table: Table) -> list[int]:
    """The better of a plan that keeps what is settled and a fresh one."""
    fresh = greedy(table, keep_settled=False)
    kept = greedy(table, keep_settled=True)
    return min(kept, fresh, key=lambda plan: State(table, plan).value)


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

"""What a share-out does with its time, where there is a solver.

First a search that shares out two days at a time, from the first plan; then the relaxed programme
with its cuts for full days and with whole sums, which gives a bound; then tries for a plan at that
bound among the few likely places; then the whole programme for plans near to the bound, further
from it each time nothing was there, until one is found and proven.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from household.calc.sharing import model, pairs
from household.calc.sharing.hull import strengthen
from household.calc.sharing.levels import Levels, likely_places, whole_sums
from household.calc.sharing.solve import Search

STEPS = 40  # for each task, of the search over two days at a time
MORE_STEPS = 300
PATIENCE = ((0.01, 1.5), (0.002, 4.0))  # with a larger gap than this, seconds until more of them
LEVEL_SECONDS = 1.0
TRIES = 3
TRY_SECONDS = 2.0
NEAR = (100, 800, 3200)  # points above the bound
# Of what HiGHS does by itself, these cost more here than they save.
PLAINLY = {
    "presolve": "off",
    "mip_pool_soft_limit": 1,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
}


def run(search: Search) -> None:
    """All stages until the plan is proven or the time is over; SolverTrouble from the solver."""
    if _over(search):
        return
    made = model.build(search.table)
    arrays = pairs.grid(search.table)
    _by_pairs(search, arrays, STEPS, seed=1)
    tight = strengthen(search.table, made)
    search.raise_bound(tight.bound)
    if _over(search):
        return
    for terms, high in tight.cuts:
        made.programme.row(terms, -inf, high)
    levels = whole_sums(made, seconds=min(LEVEL_SECONDS, search.left))
    search.raise_bound(levels.bound)
    _likely(search, made, levels)
    _prove(search, made, seconds=_patience(search))
    _by_pairs(search, arrays, MORE_STEPS, seed=2)
    _prove(search, made, seconds=search.left)


def _over(search: Search) -> bool:
    return search.proven or search.left <= 0


def _by_pairs(search: Search, arrays: pairs.Grid, steps: int, *, seed: int) -> None:
    if not _over(search):
        plan = pairs.search(
            arrays,
            search.plan,
            steps=steps * len(search.table.ids),
            seed=seed,
            stop=lambda: search.left <= 0,
        )
        search.offer(plan)


def _likely(search: Search, made: model.Model, levels: Levels) -> None:
    """Tries for a plan at the bound, from other seeds each time: luck is much of it."""
    if levels.values is None or _over(search):
        return
    cutoff = search.bound + search.step + 0.5
    few = replace(made, programme=likely_places(made, levels.values, cutoff))
    for seed in range(TRIES):
        if _over(search):
            return
        before = search.left
        answer = model.run(
            search.table,
            few,
            seconds=min(TRY_SECONDS, search.left),
            step=search.step,
            cutoff=cutoff,
            options={"mip_max_nodes": 1, "random_seed": seed},
            on_better=search.offer,
            clock=search.clock,
        )
        if answer.plan is not None:
            search.offer(answer.plan)
        if answer.proven or search.left < before - TRY_SECONDS:
            return


def _patience(search: Search) -> float:
    return next((seconds for gap, seconds in PATIENCE if search.gap > gap), search.left)


def _prove(search: Search, made: model.Model, *, seconds: float) -> None:
    """The whole programme, for plans near to the bound first: the fewer there are to look at, the
    sooner it ends."""
    until = search.left - seconds
    for cutoff in _cutoffs(search):
        left = search.left - until
        if _over(search) or left <= 0:
            return
        answer = model.run(
            search.table,
            made,
            seconds=left,
            step=search.step,
            cutoff=cutoff,
            options=PLAINLY,
            on_better=search.offer,
            on_bound=search.raise_bound,
            clock=search.clock,
        )
        if answer.plan is not None:
            search.offer(answer.plan)
        search.raise_bound(answer.bound)


def _cutoffs(search: Search) -> Iterator[float]:
    settled = any(k is not None for k in search.table.settled)
    first = search.bound
    # A plan's changes cost hundreds of points each: with a settled plan nothing is nearer.
    for points in NEAR[1:] if settled else NEAR:
        if first + points < search.value - search.step:
            yield first + points + 0.5
    while not search.proven:
        yield search.value - search.step + 0.5

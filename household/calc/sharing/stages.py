"""What a share-out does with its time, where there is a solver.

First a short search that shares out two days at a time, from the first plan; then the relaxed
programme with its cuts for full days and with whole sums, which gives a bound; then tries for a
plan at that bound among the few likely places; then the whole programme for plans near to the
bound, further from it each time nothing was there, until one is found and proven. Where the best
plan is far from the bound there is a longer search by pairs: at once in a fresh week; in one with
a settled plan once the programme found nothing near, or took long.

Time enters where a part may be broken off: the tries, the patience, and the end. A proven aim is
the same on every machine; of several plans that reach it, a slower one may show another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from household.calc.sharing import model, pairs
from household.calc.sharing.hull import strengthen
from household.calc.sharing.levels import Levels, likely_places, whole_sums
from household.calc.sharing.solve import Search

STEPS = 30  # for each task, of the search over two days at a time
MORE_STEPS = 300
LONGER_SHARE = 0.6  # of the seconds left, for those
FAR = 0.01
# A gap, and the part of the seconds spent at it until a longer search is worth more of them.
PATIENCE = ((FAR, 0.45), (0.002, 0.6))
LEVEL_SECONDS = 1.0
TRIES = 3
TRY_SECONDS = 4.0  # for all of them
ENOUGH_SECONDS = 1.5  # of tries that came to nothing
NEAR = (100, 800, 3200)  # points above the bound
# Plans at the bound are found by rounding at the root, or not at all.
AT_THE_ROOT = {
    "presolve": "off",
    "mip_max_nodes": 1,
    "mip_lp_age_limit": 3,
    "mip_heuristic_run_feasibility_jump": False,
}
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
    by_pairs = _ByPairs(search)
    by_pairs.short()
    tight = strengthen(search.table, made)
    search.raise_bound(tight.bound)
    if _over(search):
        return
    for terms, high in tight.cuts:
        made.programme.row(terms, -inf, high)
    levels = whole_sums(made, seconds=min(LEVEL_SECONDS, search.left), clock=search.clock)
    search.raise_bound(levels.bound)
    _likely(search, made, levels)
    if not _settled(search):
        by_pairs.longer_where_far()
    _prove(search, made, by_pairs)
    by_pairs.longer()
    _prove(search, made, by_pairs)


class _ByPairs:
    """The searches by pairs: a short one, and a longer one later, once at most."""

    def __init__(self, search: Search) -> None:
        self._search, self._arrays = search, pairs.grid(search.table)
        self._seconds_a_step = 0.0
        self.searched_longer = False

    def short(self) -> None:
        """The first search; how long its steps take here is kept for the longer one."""
        before = self._search.left
        self._seek(STEPS, seed=1)
        self._seconds_a_step = max(1e-6, before - self._search.left) / STEPS

    def longer_where_far(self) -> None:
        """Search longer where the best plan is far from the bound."""
        if self._search.gap > FAR:
            self.longer()

    def longer(self) -> None:
        """Search longer, unless that was done before."""
        if self.searched_longer or _over(self._search):
            return
        self.searched_longer = True
        # A search that is broken off before it is cool was for nothing.
        in_time = int(LONGER_SHARE * self._search.left / self._seconds_a_step)
        self._seek(min(MORE_STEPS, in_time), seed=3)

    def _seek(self, steps: int, *, seed: int) -> None:
        search = self._search
        plan = pairs.search(
            self._arrays,
            search.plan,
            steps=steps * len(search.table.ids),
            seed=seed,
            stop=lambda: search.left <= 0,
        )
        search.offer(plan)


def _settled(search: Search) -> bool:
    """Whether there is a plan to keep to: then the solver is quicker than the search by pairs,
    which finds no way from one plan's few changes to another's."""
    return any(k is not None for k in search.table.settled)


def _over(search: Search) -> bool:
    return search.proven or search.left <= 0


def _likely(search: Search, made: model.Model, levels: Levels) -> None:
    """Tries for a plan at the bound, from other seeds each time: luck is much of it."""
    if levels.values is None or _over(search):
        return
    cutoff = search.bound + search.step + 0.5
    few = replace(made, programme=likely_places(made, levels.values, cutoff))
    began = search.left
    for seed in range(1, 1 + TRIES):
        answer = model.run(
            search.table,
            few,
            seconds=min(TRY_SECONDS - (began - search.left), search.left),
            step=search.step,
            cutoff=cutoff,
            options={**AT_THE_ROOT, "random_seed": seed},
            on_better=search.offer,
            clock=search.clock,
        )
        if answer.plan is not None:
            search.offer(answer.plan)
        if answer.proven or began - search.left > ENOUGH_SECONDS or _over(search):
            return


def _prove(search: Search, made: model.Model, by_pairs: _ByPairs) -> None:
    """The whole programme, for plans near to the bound first: the fewer there are to look at, the
    sooner it ends. Where nothing is near and the best plan is far, a better one is sought before
    it goes on; it leaves off for that too, where the best plan stays far for long."""
    began = search.left

    def stop() -> bool:
        spent = began - search.left
        return not by_pairs.searched_longer and any(
            spent > share * search.seconds and search.gap > gap for gap, share in PATIENCE
        )

    for cutoff in _cutoffs(search):
        if _over(search) or stop():
            return
        answer = model.run(
            search.table,
            made,
            seconds=search.left,
            step=search.step,
            cutoff=cutoff,
            options=PLAINLY,
            on_better=search.offer,
            on_bound=search.raise_bound,
            stop=stop,
            clock=search.clock,
        )
        if answer.plan is not None:
            search.offer(answer.plan)
        search.raise_bound(answer.bound)
        if not answer.proven:
            return
        by_pairs.longer_where_far()


def _cutoffs(search: Search) -> Iterator[float]:
    first = search.bound
    # A plan's changes cost hundreds of points each: with a settled plan nothing is nearer.
    for points in NEAR[1:] if _settled(search) else NEAR:
        if first + points < search.value - search.step:
            yield first + points + 0.5
    while not search.proven:
        yield search.value - search.step + 0.5

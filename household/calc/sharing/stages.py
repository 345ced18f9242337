"""What a share-out does with its time, where there is a solver.

First the relaxed programme with its cuts for full days, which gives a bound; then noising from
that programme's plan and from the first one, which gives a plan near to the best; then the whole
programme from there, which proves it. All but the end of the last is the same on every machine.
"""

from __future__ import annotations

from math import inf

from household.calc.sharing import model
from household.calc.sharing.hull import Strengthened, strengthen
from household.calc.sharing.noising import FROM_AFAR, TO_GO_ON, TO_MEND, grid
from household.calc.sharing.noising import search as noise
from household.calc.sharing.solve import Search

STEPS = 30  # of noising, for each task
NEAR = 0.001  # a smaller gap is left to the proof
STILL_FAR = 0.005
MORE_ROUNDS = 5


def run(search: Search) -> None:
    """All stages until the plan is proven or the time is over; SolverTrouble from the solver."""
    if search.proven or search.left <= 0:
        return
    made = model.build(search.table)
    tight = strengthen(search.table, made)
    search.raise_bound(tight.bound)
    _noising(search, made, tight)
    if search.proven or search.left <= 0:
        return
    for terms, high in tight.cuts:
        made.programme.row(terms, -inf, high)
    answer = model.run(
        search.table,
        made,
        search.plan,
        seconds=search.left,
        step=search.step,
        on_better=search.offer,
        on_bound=search.raise_bound,
        clock=search.clock,
    )
    if answer.plan is not None:
        search.offer(answer.plan)
    search.raise_bound(answer.bound)


def _noising(search: Search, made: model.Model, tight: Strengthened) -> None:
    """Plans near to the best, the harder the week the longer; nothing here looks at a clock but
    to stop in time."""
    table = search.table
    steps = STEPS * len(table.ids)
    arrays = grid(table)
    first = search.plan

    def goes_on(gap: float) -> bool:
        return not search.proven and search.left > 0 and search.gap > gap

    if goes_on(0.0):
        search.offer(noise(arrays, made.plan(table, tight.values), steps=steps, noise=TO_MEND))
    if goes_on(NEAR):
        search.offer(noise(arrays, first, steps=steps, noise=FROM_AFAR))
    for seed in range(2, 2 + MORE_ROUNDS):
        if goes_on(STILL_FAR):
            search.offer(noise(arrays, search.plan, steps=steps, noise=TO_GO_ON, seed=seed))

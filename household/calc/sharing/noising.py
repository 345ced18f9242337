"""A search over all moves and swaps of a task at once, with noise that dies away.

In each step one task is drawn, every other place for it and every swap with another task is
weighed in a few array operations, noise is added to each, and the best is taken: far more is seen
in a second than by trying changes one by one. Limited by a count of steps, from a seeded
generator, without a clock: the same answer on every machine. The noising method: I. Charon,
O. Hudry, Oper. Res. Lett. 14 (1993) 133-137 (from memory). Needs numpy, which the solver brings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from household.calc.sharing.problem import DAYS
from household.calc.sharing.table import Table

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
NOT_ALLOWED = 1e15
NO_CHANGE = 1e14


@dataclass(frozen=True, slots=True)
class Noise:
    """How large the noise is in the first step and the last, in the price of minutes of overload
    or of the largest deviation; it shrinks evenly by factors."""

    first: float
    last: float


# From far off the search must cross whole tasks; the relaxed programme's plan wants mending only.
FROM_AFAR = Noise(3.3, 0.33)
TO_MEND = Noise(1.0, 0.1)
TO_GO_ON = Noise(2.0, 0.2)


@dataclass(frozen=True, slots=True)
class Grid:
    """A table as arrays: cells are member x 7 + day, `cost[t, cell]` of a task there."""

    table: Table
    sizes: Floats
    cost: Floats
    cost_by_cell: Floats
    free: Floats
    cells: tuple[Ints, ...]
    movable: tuple[int, ...]


def grid(table: Table) -> Grid:
    """The arrays of a table, made once for all searches on it."""
    cost = np.full((len(table.ids), DAYS * len(table.members)), NOT_ALLOWED)
    cells = []
    for t, options in enumerate(table.options):
        own = np.array([option.member * DAYS + option.day for option in options], dtype=np.int64)
        cost[t, own] = [option.cost for option in options]
        cells.append(own)
    return Grid(
        table=table,
        sizes=np.array(table.minutes, dtype=float),
        cost=cost,
        cost_by_cell=np.ascontiguousarray(cost.T),
        free=np.array(table.capacity, dtype=float).reshape(-1),
        cells=tuple(cells),
        movable=tuple(t for t, options in enumerate(table.options) if len(options) > 1),
    )


def search(made: Grid, plan: list[int], *, steps: int, noise: Noise, seed: int = 1) -> list[int]:
    """The best plan met in so many steps from `plan`, which may be that plan itself."""
    if not made.movable or steps < 2:
        return plan
    state = _State(made, plan)
    random = np.random.Generator(np.random.PCG64(seed))
    drawn = random.integers(0, len(made.movable), steps)
    shrink = (noise.last / noise.first) ** (1.0 / (steps - 1))
    size = noise.first * max(made.table.rates.overload, made.table.rates.largest)
    best, value, least = state.cell.copy(), 0.0, 0.0
    for pick in drawn:
        task = made.movable[int(pick)]
        moves, swaps = state.moves(task), state.swaps(task)
        shaken = random.random(len(moves) + len(swaps)) * size
        loud_moves, loud_swaps = moves + shaken[: len(moves)], swaps + shaken[len(moves) :]
        k, other = int(loud_moves.argmin()), int(loud_swaps.argmin())
        if min(loud_moves[k], loud_swaps[other]) < size:
            if loud_moves[k] <= loud_swaps[other]:
                state.put(task, int(made.cells[task][k]))
                value += float(moves[k])
            else:
                here, there = int(state.cell[task]), int(state.cell[other])
                state.put(task, there)
                state.put(other, here)
                value += float(swaps[other])
            if value < least - 0.5:
                least, best = value, state.cell.copy()
        size *= shrink
    return [int(np.flatnonzero(own == best[t])[0]) for t, own in enumerate(made.cells)]


class _State:
    """A plan with its loads, and what each change of one task would add to the weighted aim."""

    def __init__(self, made: Grid, plan: list[int]) -> None:
        self.made = made
        self.people = len(made.table.members)
        self.cell = np.array([own[k] for own, k in zip(made.cells, plan, strict=True)])
        self.member = self.cell // DAYS
        self.cost = made.cost[np.arange(len(plan)), self.cell]
        self.load = np.zeros(len(made.free))
        np.add.at(self.load, self.cell, made.sizes)
        self.off = -np.array(made.table.target, dtype=float)
        np.add.at(self.off, self.member, made.sizes)
        self.over = np.maximum(self.load - made.free, 0.0)
        self.least_total = float(made.table.rates.band * self.people)
        self.everybody = np.arange(self.people)
        self._weigh_shares()

    def put(self, task: int, cell: int) -> None:
        """Move a task, and keep the sums."""
        made = self.made
        size, here, member = made.sizes[task], int(self.cell[task]), cell // DAYS
        self.load[here] -= size
        self.load[cell] += size
        for each in (here, cell):
            self.over[each] = max(0.0, self.load[each] - made.free[each])
        if member != self.member[task]:
            self.off[self.member[task]] -= size
            self.off[member] += size
            self._weigh_shares()
        self.cell[task], self.member[task] = cell, member
        self.cost[task] = made.cost[task, cell]

    def moves(self, task: int) -> Floats:
        """By option: what moving the task there would add."""
        made = self.made
        size, here, there = made.sizes[task], self.cell[task], made.cells[task]
        beyond = np.maximum(self.load[there] + size - made.free[there], 0.0) - self.over[there]
        beyond += max(self.load[here] - size - made.free[here], 0.0) - self.over[here]
        added = made.table.rates.overload * beyond
        added += made.cost[task][there] - self.cost[task]
        added += self._shares(int(self.member[task]), self.everybody, -size)[there // DAYS]
        added[there == here] = NO_CHANGE
        return np.asarray(added)

    def swaps(self, task: int) -> Floats:
        """By other task: what it would add if both took each other's place."""
        made = self.made
        here, cell, longer = self.cell[task], self.cell, made.sizes - made.sizes[task]
        beyond = np.maximum(self.load[here] - made.free[here] + longer, 0.0) - self.over[here]
        beyond += np.maximum(self.load[cell] - made.free[cell] - longer, 0.0) - self.over[cell]
        added = made.table.rates.overload * beyond
        added += made.cost[task][cell] + made.cost_by_cell[here] - self.cost
        added += self._shares(int(self.member[task]), self.member, longer) - self.cost[task]
        added[cell == here] = NO_CHANGE
        return np.asarray(added)

    def _shares(self, one: int, others: Ints, more: Floats | np.float64) -> Floats:
        """What the deviations would add if `one` had so many minutes more and the other less."""
        rates = self.made.table.rates
        own, theirs = np.abs(self.off[one] + more), np.abs(self.off[others] - more)
        largest = np.maximum(np.maximum(self.rest[one][others], own), theirs)
        sums = own + theirs
        sums += self.total - self.far[one]
        sums -= self.far[others]
        added = rates.largest * largest
        added += rates.total * np.maximum(sums, self.least_total)
        added -= self.shares
        added[others == one] = 0.0
        return np.asarray(added)

    def _weigh_shares(self) -> None:
        rates = self.made.table.rates
        self.far = np.abs(self.off)
        self.total = float(self.far.sum())
        order = np.argsort(-self.far, kind="stable")
        sizes = [max(float(self.far[m]), rates.band) for m in order] + [float(rates.band)] * 3
        # Of those who are neither this one nor that one, how far the furthest is off, in the band
        # at least.
        self.rest = np.full((self.people, self.people), sizes[0])
        self.rest[order[0], :] = self.rest[:, order[0]] = sizes[1]
        if self.people > 1:
            self.rest[order[0], order[1]] = self.rest[order[1], order[0]] = sizes[2]
        self.shares = rates.largest * sizes[0] + rates.total * max(self.total, self.least_total)

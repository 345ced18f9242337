"""A search that shares out two days anew in each step, warm at first and then ever cooler.

A step draws a task, its place and another place it may have, and weighs every way to divide the
tasks of the two places between them in a few array operations. Which way is taken is drawn by
Boltzmann's probabilities, so a step can cross what no change of one or two tasks could.

The heat bath on blocks: S. Geman, D. Geman, IEEE Trans. Pattern Anal. Mach. Intell. 6 (1984)
721-741; cooling: S. Kirkpatrick, C. Gelatt, M. Vecchi, Science 220 (1983) 671-680; drawing by the
largest of values with Gumbel's noise added (all from memory). Limited by a count of steps, from a
seeded generator: the same answer on every machine unless it is stopped. Needs numpy, which the
solver brings.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from household.calc.sharing.problem import DAYS
from household.calc.sharing.table import Table

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MOST_TASKS = 9  # of two places; where there are more, some that are drawn
COLD = 5.0  # points: a little below what changes of comfort come to
NOISES = 1 << 16
LOOK_AFTER = 500  # steps between two looks at whether to stop


@dataclass(frozen=True, slots=True)
class Grid:
    """A table as arrays: cells are member x 7 + day, `cost[t, cell]` of a task there."""

    table: Table
    sizes: Floats
    cost: Floats
    cells: tuple[tuple[int, ...], ...]
    movable: tuple[int, ...]


def grid(table: Table) -> Grid:
    """The arrays of a table, made once for all searches on it."""
    cost = np.zeros((len(table.ids), DAYS * len(table.members)))
    cells = []
    for t, options in enumerate(table.options):
        cells.append(tuple(option.member * DAYS + option.day for option in options))
        cost[t, list(cells[t])] = [option.cost for option in options]
    return Grid(
        table=table,
        sizes=np.array(table.minutes, dtype=float),
        cost=cost,
        cells=tuple(cells),
        movable=tuple(t for t, own in enumerate(cells) if len(own) > 1),
    )


def search(
    made: Grid,
    plan: list[int],
    *,
    steps: int,
    seed: int = 1,
    stop: Callable[[], bool] = lambda: False,
) -> list[int]:
    """The best plan met in so many steps from `plan`, which may be that plan itself."""
    if not made.movable:
        return plan
    state = _State(made, plan)
    draw = _Draw(made, steps, seed)
    rates = made.table.rates
    warmth = float(max(rates.overload, rates.largest))
    cooling = (COLD / warmth) ** (1.0 / max(1, steps))
    best, value, least = list(state.cell), 0.0, 0.0
    for step in range(steps):
        warmth *= cooling
        task, there = draw.task_and_cell(step)
        here = state.cell[task]
        if there != here:
            value += _divide_anew(state, draw, step, task, there, warmth)
            if value < least - 0.5:
                least, best = value, list(state.cell)
        if step % LOOK_AFTER == 0 and stop():
            break
    return [own.index(cell) for own, cell in zip(made.cells, best, strict=True)]


def _divide_anew(
    state: _State, draw: _Draw, step: int, task: int, there: int, warmth: float
) -> float:
    """Divide the tasks of a task's cell and another between the two; what that adds to the aim."""
    here = state.cell[task]
    tasks = draw.some_of(state.shared(here, there), task)
    now = sum(1 << i for i, each in enumerate(tasks) if state.cell[each] == here)
    worth, minutes = state.ways(tasks, here, there, now)
    way = int((worth - warmth * draw.noise(step, len(worth))).argmin())
    if way == now:
        return 0.0
    for i, each in enumerate(tasks):
        state.put(each, here if way >> i & 1 else there)
    state.carry(here // DAYS, there // DAYS, float(minutes[way]))
    return float(worth[way] - worth[now])


class _Draw:
    """Everything drawn, most of it at once."""

    def __init__(self, made: Grid, steps: int, seed: int) -> None:
        random = np.random.Generator(np.random.PCG64(seed))
        self._made = made
        self._random = random
        self._tasks: list[int] = random.integers(0, len(made.movable), steps).tolist()
        self._cells: list[float] = random.random(steps).tolist()
        self._starts: list[float] = random.random(steps).tolist()
        self._noise = -np.log(-np.log(random.random(NOISES)))

    def task_and_cell(self, step: int) -> tuple[int, int]:
        """The task of a step, and a cell it may be in."""
        task = self._made.movable[self._tasks[step]]
        own = self._made.cells[task]
        return task, own[int(self._cells[step] * len(own))]

    def some_of(self, tasks: list[int], task: int) -> list[int]:
        """At most `MOST_TASKS` of the tasks, `task` among them."""
        if len(tasks) <= MOST_TASKS:
            return tasks
        others = [each for each in tasks if each != task]
        order = self._random.permutation(len(others))[: MOST_TASKS - 1].tolist()
        return [task, *(others[i] for i in order)]

    def noise(self, step: int, count: int) -> Floats:
        """Gumbel's noise: another stretch of it in each step."""
        start = int(self._starts[step] * (NOISES - count))
        return self._noise[start : start + count]


class _State:
    """A plan with its loads, in plain lists: single values are read and written far more often
    than whole arrays."""

    def __init__(self, made: Grid, plan: list[int]) -> None:
        table = made.table
        self.made, self.rates = made, table.rates
        self.cell = [own[k] for own, k in zip(made.cells, plan, strict=True)]
        self.may = [frozenset(own) for own in made.cells]
        self.inside: list[list[int]] = [[] for _ in range(DAYS * len(table.members))]
        self.beyond = [-float(free) for days in table.capacity for free in days]
        self.off = [-float(target) for target in table.target]
        for task, cell in enumerate(self.cell):
            self.inside[cell].append(task)
            self.beyond[cell] += table.minutes[task]
            self.off[cell // DAYS] += table.minutes[task]
        self.band = float(table.rates.band)
        self.least_total = self.band * len(table.members)

    def shared(self, here: int, there: int) -> list[int]:
        """Tasks of two cells that may be in either."""
        own, theirs = self.inside[here], self.inside[there]
        return [t for t in own if there in self.may[t]] + [t for t in theirs if here in self.may[t]]

    def ways(self, tasks: list[int], here: int, there: int, now: int) -> tuple[Floats, Floats]:
        """By way to divide tasks between two cells (bit i: task i is here): what all that depends
        on it comes to in the aim, and the minutes that are here more than now."""
        made, rates = self.made, self.rates
        each = np.empty((len(tasks), 2))
        each[:, 0] = made.sizes[tasks]
        each[:, 1] = made.cost[tasks, here] - made.cost[tasks, there]
        sums = _subsets(len(tasks)) @ each
        more = sums[:, 0] - sums[now, 0]
        over = np.maximum(more + self.beyond[here], 0.0)
        over += np.maximum(self.beyond[there] - more, 0.0)
        worth = sums[:, 1] + rates.overload * over
        if here // DAYS != there // DAYS:
            worth += self._shares(here // DAYS, there // DAYS, more)
        return worth, more

    def _shares(self, one: int, other: int, more: Floats) -> Floats:
        """What the deviations cost if `one` has so many minutes more and the other less."""
        rates, largest, total = self.rates, self.band, 0.0
        for member, off in enumerate(self.off):
            if member != one and member != other:
                off = abs(off)
                total += off
                largest = max(largest, off)
        own, theirs = np.abs(more + self.off[one]), np.abs(more - self.off[other])
        furthest = np.maximum(np.maximum(own, theirs), largest)
        sums = np.maximum(own + theirs + total, self.least_total)
        return np.asarray(rates.largest * furthest + rates.total * sums)

    def put(self, task: int, cell: int) -> None:
        """Move a task, and keep the minutes of the cells."""
        before = self.cell[task]
        if before != cell:
            minutes = self.made.table.minutes[task]
            self.inside[before].remove(task)
            self.inside[cell].append(task)
            self.beyond[before] -= minutes
            self.beyond[cell] += minutes
            self.cell[task] = cell

    def carry(self, one: int, other: int, minutes: float) -> None:
        """One member does so many minutes more, the other less."""
        self.off[one] += minutes
        self.off[other] -= minutes


@cache
def _subsets(count: int) -> Floats:
    """A row for each subset, 1 where it has the task: row s has task i where bit i of s is set."""
    return ((np.arange(1 << count)[:, np.newaxis] >> np.arange(count)) & 1).astype(float)

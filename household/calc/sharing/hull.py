"""Cuts for full days: what overload must be, seeing that tasks cannot be divided.

Divisible tasks fill every day to the minute; whole ones leave gaps here and too much there. For
one person's day the overload of a set of tasks is max(0, minutes - free), and the cuts made here
are faces of the hull of (tasks chosen, overload): the deepest one at the relaxed values over the
few tasks that are divided there, then lifted exactly, one task after another, over all others.
Lifting: E. Balas, Math. Programming 8 (1975) 146-164; E. Zemel, Math. Programming 15 (1978)
268-277 (both from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from household.calc.programme import Relaxation
from household.calc.sharing.model import Model
from household.calc.sharing.table import Table

WHOLE = 1e-6  # nearer than this to 0 or 1 a task is not divided
DEPTH_MINUTES = 1e-3  # a shallower cut is not worth its row
MOST_DIVIDED = 9  # with more divided tasks in one day, the next round sees to it
ROUNDS = 30
STALLED_ROUNDS = 3
MOST_PIVOTS = 60

Cut = tuple[Sequence[tuple[int, float]], float]


@dataclass(frozen=True, slots=True)
class Cell:
    """One person's day: columns of the tasks that may be there, their minutes, the free time, and
    the column of the overload."""

    columns: tuple[int, ...]
    sizes: tuple[int, ...]
    free: int
    over: int


@dataclass(frozen=True, slots=True)
class Strengthened:
    """The relaxed programme with cuts: its bound, values and reduced costs of its columns, and
    the cuts that hold there with nothing to spare."""

    bound: float
    values: Sequence[float]
    reduced: Sequence[float]
    cuts: tuple[Cut, ...]


def strengthen(table: Table, model: Model) -> Strengthened:
    """Add cuts round by round while they raise the bound; always the same for the same table."""
    cells = cells_of(table, model)
    relaxed = Relaxation(model.programme)
    answer = relaxed.solve()
    first = before = answer.objective
    cuts: list[Cut] = []
    stalled = 0
    for _ in range(ROUNDS):
        found = [made for cell in cells if (made := cut(cell, answer.values or ())) is not None]
        if not found or stalled == STALLED_ROUNDS:
            break
        relaxed.add(found)
        cuts += found
        answer = relaxed.solve()
        gained = answer.objective - before
        before = answer.objective
        stalled = stalled + 1 if gained < 0.5 + (before - first) / 10_000 else 0
    values = answer.values or ()
    tight = tuple((terms, high) for terms, high in cuts if _at(terms, values) > high - 0.01)
    bound = answer.bound if answer.proven else -inf
    return Strengthened(bound, values, answer.reduced, tight)


def cells_of(table: Table, model: Model) -> list[Cell]:
    """The days that can be overfull at all, in the order of the model's overload columns."""
    terms: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for minutes, first, options in zip(table.minutes, model.first, table.options, strict=True):
        for k, option in enumerate(options):
            terms.setdefault((option.member, option.day), []).append((first + k, minutes))
    return [
        Cell(
            columns=tuple(column for column, _ in terms[place]),
            sizes=tuple(minutes for _, minutes in terms[place]),
            free=table.capacity[place[0]][place[1]],
            over=over,
        )
        for place, over in model.overload.items()
    ]


def cut(cell: Cell, values: Sequence[float]) -> Cut | None:
    """The deepest cut at these values, as (terms, high); None where there is none worth a row."""
    here = [values[column] for column in cell.columns]
    divided = [i for i, value in enumerate(here) if WHOLE <= value <= 1 - WHOLE]
    kept = [i for i, value in enumerate(here) if value > 1 - WHOLE]
    if not 0 < len(divided) <= MOST_DIVIDED:
        return None
    base = sum(cell.sizes[i] for i in kept)
    loads = [int(load) for load in _sums([cell.sizes[i] for i in divided], base)]
    beyond = [max(0, load - cell.free) for load in loads]
    if beyond[0] > 0 or beyond[-1] == 0:
        return None  # overload is a straight line over these loads: nothing to cut
    slopes = _envelope([here[i] for i in divided], beyond)
    sums = _sums(slopes, 0.0)
    least = min(over - total for over, total in zip(beyond, sums, strict=True))
    depth = least + sum(a * here[i] for a, i in zip(slopes, divided, strict=True))
    if depth < values[cell.over] + DEPTH_MINUTES:
        return None
    lifting = _Lifting(cell, loads, [least + total for total in sums])
    factors = dict(zip(divided, slopes, strict=True))
    largest_first = sorted(range(len(here)), key=lambda i: (-cell.sizes[i], i))
    kept_too, constant = set(kept), least
    for i in largest_first:
        if i in kept_too:
            factors[i] = lifting.without(cell.sizes[i])
            constant -= factors[i]
    for i in largest_first:
        if i not in factors:
            factors[i] = lifting.also(cell.sizes[i])
    terms = [(cell.columns[i], factor) for i, factor in factors.items() if abs(factor) > 1e-9]
    return [*terms, (cell.over, -1.0)], -constant


@dataclass(slots=True)
class _Lifting:
    """By load in minutes, the most that the cut's left side can be (`most`).

    While tasks are taken out, all loads are looked at; for those that come in, only loads up to
    the free time: beyond it `most` is at most the overload, so a task more is worth its minutes.
    """

    cell: Cell
    loads: Sequence[int]
    worth: Sequence[float]
    most: NDArray[np.float64] = field(init=False)
    beyond: NDArray[np.float64] = field(init=False)

    def __post_init__(self) -> None:
        every = np.arange(sum(self.cell.sizes) + 1)
        self.beyond = np.maximum(0.0, every - float(self.cell.free))
        self.most = np.full(len(every), -inf)
        for load, worth in zip(self.loads, self.worth, strict=True):
            self.most[load] = max(self.most[load], worth)

    def without(self, minutes: int) -> float:
        """The least factor of a task taken as done so far, so that leaving it out is valid."""
        end = len(self.most) - minutes
        factor = float((self.most[minutes:] - self.beyond[:end]).max())
        less = self.most.copy()
        np.maximum(less[:end], self.most[minutes:] - factor, out=less[:end])
        self.most = less
        return factor

    def also(self, minutes: int) -> float:
        """The largest factor of a task taken as not done so far, so that doing it is valid."""
        most = self.most = self.most[: self.cell.free + 1]
        end = min(len(most), len(self.beyond) - minutes)
        factor = min(minutes, float((self.beyond[minutes : minutes + end] - most[:end]).min()))
        if minutes < len(most):
            more = most.copy()
            np.maximum(more[minutes:], most[:-minutes] + factor, out=more[minutes:])
            self.most = more
        return factor


def _envelope(here: Sequence[float], beyond: Sequence[int]) -> list[float]:
    """Slopes of the hull's lower side above the point `here`; subset s has overload beyond[s].

    The simplex method on the subsets whose mean is the point: it starts from the tasks added one
    after another by their values, and each step takes in the subset furthest below the slopes. A
    count of steps ends it, for `cut` makes whatever slopes come out of it valid.
    """
    subsets, costs = _subsets(len(here)), np.array(beyond, dtype=float)
    order = sorted(range(len(here)), key=lambda i: (-here[i], i))
    basis = [0]
    for i in order:
        basis.append(basis[-1] | 1 << i)
    point = np.array([*here, 1.0])
    for _ in range(MOST_PIVOTS):
        inverse = np.linalg.inv(subsets[basis])
        slopes = inverse @ costs[basis]
        below = costs - subsets @ slopes
        enters = int(below.argmin())
        if below[enters] > -1e-9:
            break
        shares, change = point @ inverse, subsets[enters] @ inverse
        ratios = np.where(change > 1e-9, shares / np.where(change > 1e-9, change, 1.0), inf)
        basis[int(ratios.argmin())] = enters
    return [float(slope) for slope in slopes[:-1]]


@cache
def _subsets(count: int) -> NDArray[np.float64]:
    every = np.arange(1 << count)[:, np.newaxis]
    return np.hstack([(every >> np.arange(count)) & 1, np.ones_like(every)]).astype(float)


def _sums(parts: Sequence[float], start: float) -> list[float]:
    """What each subset sums to, subset s taking part i where bit i of s is set."""
    sums = [start]
    for part in parts:
        sums += [each + part for each in sums]
    return sums


def _at(terms: Sequence[tuple[int, float]], values: Sequence[float]) -> float:
    return sum(factor * values[column] for column, factor in terms)

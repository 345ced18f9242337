"""The share-out as an integer programme.

One binary column for each allowed place of each task; overload and deviation are columns that
their rows push up, so there is no big M anywhere.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import gcd, inf
from typing import Any

from household.calc import programme
from household.calc.programme import Programme, SolverTrouble, solver
from household.calc.sharing.table import Table

__all__ = ["SolverTrouble", "solver"]


@dataclass(frozen=True, slots=True)
class Model:
    """The programme of a table, and which of its columns mean what.

    The `places` come first, `first[t] + k` for option k of task t; then each member's load, in
    steps of `grain` minutes. `overload` is by member and day, where there can be any; `beyond` is
    the sum of it, in steps of its own.
    """

    programme: Programme
    places: int
    first: tuple[int, ...]
    grain: int
    overload: Mapping[tuple[int, int], int]
    beyond: int | None
    largest: int
    total: int

    def start(self, table: Table, plan: Sequence[int]) -> list[float]:
        """Values of all whole columns for a plan."""
        places = [0.0] * self.places
        loads = [0.0] * len(table.members)
        for t, k in enumerate(plan):
            places[self.first[t] + k] = 1.0
            loads[table.options[t][k].member] += table.minutes[t] // self.grain
        return places + loads

    def plan(self, table: Table, values: Sequence[float]) -> list[int]:
        """The plan in the values of a solution."""
        chosen = []
        for first, options in zip(self.first, table.options, strict=True):
            own = list(values[first : first + len(options)])
            chosen.append(own.index(max(own)))
        return chosen


@dataclass(frozen=True, slots=True)
class Run:
    """What a run came to: the best plan (if any), a proven lower bound, whether equal."""

    plan: list[int] | None
    bound: float
    proven: bool


def aim_step(table: Table) -> int:
    """The aim moves in whole steps of this size, so a gap below one step proves a plan."""
    rates = table.rates
    step = gcd(rates.overload, rates.largest, rates.total)
    for options in table.options:
        for option in options:
            step = gcd(step, option.cost - options[0].cost)
    return max(1, step)


def build(table: Table) -> Model:
    """The weighted aim of a table as a programme."""
    made = Programme()
    first = []
    cells: dict[tuple[int, int], list[tuple[int, float]]] = {}
    of_member: list[list[tuple[int, float]]] = [[] for _ in table.members]
    for minutes, options in zip(table.minutes, table.options, strict=True):
        columns = [made.column(option.cost, 0, 1, whole=True) for option in options]
        first.append(columns[0])
        made.row([(column, 1.0) for column in columns], 1, 1)
        for column, option in zip(columns, options, strict=True):
            cells.setdefault((option.member, option.day), []).append((column, float(minutes)))
            of_member[option.member].append((column, float(minutes)))
    places, grain = len(made.cost), gcd(*table.minutes) or 1
    loads = _loads(made, table, of_member, grain)
    overload = _overload(made, table, cells)
    beyond = _beyond(made, table, overload, grain)
    largest, total = _shares(made, table, loads, grain)
    return Model(made, places, tuple(first), grain, overload, beyond, largest, total)


def fix_fairness(
    model: Model, table: Table, *, overload: int, largest: int, total: int, slack: int
) -> None:
    """Keep overload, and deviations up to `slack` minutes more, whatever is sought next."""
    made = model.programme
    if model.overload:
        made.row([(column, 1.0) for column in model.overload.values()], -inf, overload)
    made.high[model.largest] = max(table.rates.band, largest + slack)
    made.high[model.total] = max(table.rates.band * len(table.members), total + slack)


def _overload(
    made: Programme, table: Table, cells: dict[tuple[int, int], list[tuple[int, float]]]
) -> dict[tuple[int, int], int]:
    columns = {}
    for (member, day), terms in sorted(cells.items()):
        free = table.capacity[member][day]
        sizes = [int(minutes) for _, minutes in terms]
        if sum(sizes) <= free:
            continue
        over = made.column(table.rates.overload, 0, inf)
        columns[member, day] = over
        made.row([*terms, (over, -1.0)], -inf, free)
        below, above = _nearest_sums(sizes, free)
        if below < free and above - below > 1:
            # No load lies between these two, so overload is at least the line through them.
            slope = (above - free) / (above - below)
            line = [(column, slope * minutes) for column, minutes in terms]
            made.row([*line, (over, -1.0)], -inf, slope * below)
    return columns


def _beyond(
    made: Programme, table: Table, overload: Mapping[tuple[int, int], int], grain: int
) -> int | None:
    # Whole, like the loads: a half step of overload in all is never worth weighing.
    if not overload:
        return None
    steps = gcd(grain, *(table.capacity[member][day] for member, day in overload))
    beyond = made.column(0, 0, inf, whole=True)
    made.row([*((c, 1 / steps) for c in overload.values()), (beyond, -1.0)], 0, 0)
    return beyond


def _nearest_sums(sizes: Sequence[int], free: int) -> tuple[int, int]:
    """The largest sum of some of the sizes up to `free`, and the smallest above it."""
    reachable = 1
    for size in sizes:
        reachable |= reachable << size
    below = (reachable & ((1 << (free + 1)) - 1)).bit_length() - 1
    rest = reachable >> (free + 1)
    return below, free + (rest & -rest).bit_length()


def _loads(
    made: Programme, table: Table, of_member: list[list[tuple[int, float]]], grain: int
) -> list[int]:
    # Whole columns: to branch on what a person does in all moves the aim at once, where a branch
    # on a single task lets others take its place.
    columns = []
    for terms in of_member:
        load = made.column(0, 0, sum(table.minutes) // grain, whole=True)
        made.row([*((c, minutes / grain) for c, minutes in terms), (load, -1.0)], 0, 0)
        columns.append(load)
    return columns


def _shares(made: Programme, table: Table, loads: list[int], grain: int) -> tuple[int, int]:
    rates, people = table.rates, len(table.members)
    largest = made.column(rates.largest, rates.band, inf)
    total = made.column(rates.total, rates.band * people, inf)
    every = []
    for load, target in zip(loads, table.target, strict=True):
        above = made.column(0, 0, inf)
        below = made.column(0, 0, inf)
        made.row([(load, float(grain)), (above, -1.0), (below, 1.0)], target, target)
        made.row([(above, 1.0), (below, 1.0), (largest, -1.0)], -inf, 0)
        every += [(above, 1.0), (below, 1.0)]
    made.row([*every, (total, -1.0)], -inf, 0)
    return largest, total


def run(
    table: Table,
    model: Model,
    start: Sequence[int] | None = None,
    *,
    seconds: float,
    step: float,
    cutoff: float = inf,
    options: dict[str, Any] | None = None,
    on_better: Callable[[list[int]], None] | None = None,
    on_bound: Callable[[float], None] | None = None,
    stop: Callable[[], bool] | None = None,
    clock: Callable[[], float] = time.perf_counter,
) -> Run:
    """Solve a model; SolverTrouble if HiGHS refuses it.

    From a plan already known, or for plans up to a `cutoff` only; `proven` without a plan means
    that there is none (see `programme.solve`).
    """

    def tell(values: Sequence[float]) -> None:
        if on_better is not None:
            on_better(model.plan(table, values))

    answer = programme.solve(
        model.programme,
        seconds=seconds,
        step=step,
        start=None if start is None else model.start(table, start),
        cutoff=cutoff,
        options=options,
        on_better=None if on_better is None else tell,
        on_bound=on_bound,
        stop=stop,
        clock=clock,
    )
    if answer.values is None:
        return Run(None, answer.bound, answer.proven)
    return Run(model.plan(table, answer.values), answer.bound, answer.proven)


def relaxed_minimum(model: Model, columns: Iterable[int]) -> int:
    """The smallest sum of some columns over all plans, with tasks divisible, rounded up."""
    made = model.programme
    costs = list(made.cost)
    made.cost[:] = [0] * len(costs)
    for column in columns:
        made.cost[column] = 1
    answer = programme.relax(made, seconds=10)
    made.cost[:] = costs
    return max(0, -int(-(answer.bound - 1e-6) // 1)) if answer.proven else 0

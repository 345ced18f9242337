"""The share-out as an integer programme for HiGHS, through highspy where it is installed.

One binary column for each allowed place of each task; overload and deviation are columns that
their rows push up, so there is no big M anywhere. One thread and no parallel parts: the same
input gives the same run, and HiGHS must not change its thread count within a process.
"""

from __future__ import annotations

import ctypes
import importlib
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import gcd, inf
from typing import Any

from household.calc.sharing.table import Table


@cache
def solver() -> Any:
    """The highspy module, or None where no wheel of it exists."""
    try:
        return importlib.import_module("highspy")
    except ImportError:
        return None


def _new_highs() -> Any:
    """A solver object, without the banner that making the first one writes to file number 1."""
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        highs = solver().Highs()
        ctypes.CDLL(None).fflush(None)
    finally:
        os.dup2(kept, 1)
        os.close(nowhere)
        os.close(kept)
    return highs


class SolverTrouble(RuntimeError):
    """HiGHS refused a call; the plan so far stands."""


@dataclass(slots=True)
class Programme:
    """Columns and rows under construction; rows are lists of (column, factor)."""

    cost: list[int] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[int] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def column(self, cost: int, low: float, high: float, *, whole: bool = False) -> int:
        """A new column; returns its position."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        """A new row low <= sum of factor x column <= high; no column may come twice."""
        self.columns.extend(column for column, _ in terms)
        self.factors.extend(factor for _, factor in terms)
        self.starts.append(len(self.columns))
        self.row_low.append(low)
        self.row_high.append(high)


@dataclass(frozen=True, slots=True)
class Model:
    """The programme of a table, and which of its columns mean what."""

    programme: Programme
    first: tuple[int, ...]
    overload: tuple[int, ...]
    largest: int
    total: int

    def columns_of(self, plan: Sequence[int]) -> list[int]:
        """The columns that are 1 in a plan."""
        return [first + k for first, k in zip(self.first, plan, strict=True)]


@dataclass(frozen=True, slots=True)
class Run:
    """What a run of HiGHS came to: the best plan (if any), a proven lower bound, whether equal."""

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
    overload = _overload(made, table, cells)
    largest, total = _shares(made, table, of_member)
    return Model(made, tuple(first), overload, largest, total)


def fix_fairness(
    model: Model, table: Table, *, overload: int, largest: int, total: int, slack: int
) -> None:
    """Keep overload, and deviations up to `slack` minutes more, whatever is sought next."""
    made = model.programme
    if model.overload:
        made.row([(column, 1.0) for column in model.overload], -inf, overload)
    made.high[model.largest] = max(table.rates.band, largest + slack)
    made.high[model.total] = max(table.rates.band * len(table.members), total + slack)


def _overload(
    made: Programme, table: Table, cells: dict[tuple[int, int], list[tuple[int, float]]]
) -> tuple[int, ...]:
    columns = []
    for (member, day), terms in sorted(cells.items()):
        free = table.capacity[member][day]
        sizes = [int(minutes) for _, minutes in terms]
        if sum(sizes) <= free:
            continue
        over = made.column(table.rates.overload, 0, inf)
        columns.append(over)
        made.row([*terms, (over, -1.0)], -inf, free)
        below, above = _nearest_sums(sizes, free)
        if below < free and above - below > 1:
            # No load lies between these two, so overload is at least the line through them.
            slope = (above - free) / (above - below)
            line = [(column, slope * minutes) for column, minutes in terms]
            made.row([*line, (over, -1.0)], -inf, slope * below)
    return tuple(columns)


def _nearest_sums(sizes: Sequence[int], free: int) -> tuple[int, int]:
    """The largest sum of some of the sizes up to `free`, and the smallest above it."""
    reachable = 1
    for size in sizes:
        reachable |= reachable << size
    below = (reachable & ((1 << (free + 1)) - 1)).bit_length() - 1
    rest = reachable >> (free + 1)
    return below, free + (rest & -rest).bit_length()


def _shares(
    made: Programme, table: Table, of_member: list[list[tuple[int, float]]]
) -> tuple[int, int]:
    rates, people = table.rates, len(table.members)
    largest = made.column(rates.largest, rates.band, inf)
    total = made.column(rates.total, rates.band * people, inf)
    every = []
    for terms, target in zip(of_member, table.target, strict=True):
        above = made.column(0, 0, inf)
        below = made.column(0, 0, inf)
        made.row([*terms, (above, -1.0), (below, 1.0)], target, target)
        made.row([(above, 1.0), (below, 1.0), (largest, -1.0)], -inf, 0)
        every += [(above, 1.0), (below, 1.0)]
    made.row([*every, (total, -1.0)], -inf, 0)
    return largest, total


def run(
    table: Table,
    model: Model,
    start: Sequence[int],
    *,
    seconds: float,
    step: float,
    on_better: Callable[[list[int]], None] | None = None,
) -> Run:
    """Solve a model from a plan already known; SolverTrouble if HiGHS refuses it."""
    highspy = solver()
    highs = _new_highs()
    options = {
        "output_flag": False,
        "threads": 1,
        "parallel": "off",
        "mip_rel_gap": 0.0,
        "mip_abs_gap": step - 0.001,
        "time_limit": max(0.01, seconds),
    }
    for name, value in options.items():
        _expect(highspy, highs.setOptionValue(name, value), name)
    _expect(highspy, highs.passModel(_lp(highspy, model.programme)), "model")
    _give_start(highspy, highs, model, start)
    if on_better is not None:
        highs.cbMipImprovingSolution.subscribe(
            lambda event: on_better(_plan(table, model, event.data_out.mip_solution))
        )
    _expect(highspy, highs.run(), "run", allow_warning=True)
    status = highs.getModelStatus()
    info = highs.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Run(None, info.mip_dual_bound, False)
    plan = _plan(table, model, highs.getSolution().col_value)
    return Run(plan, info.mip_dual_bound, status == highspy.HighsModelStatus.kOptimal)


def relaxed_minimum(model: Model, columns: Sequence[int]) -> int:
    """The smallest sum of some columns over all plans, with tasks divisible, rounded up."""
    highspy = solver()
    highs = _new_highs()
    _expect(highspy, highs.setOptionValue("output_flag", False), "output_flag")
    _expect(highspy, highs.setOptionValue("threads", 1), "threads")
    lp = _lp(highspy, model.programme)
    lp.integrality_ = []
    costs = [0.0] * lp.num_col_
    for column in columns:
        costs[column] = 1.0
    lp.col_cost_ = costs
    _expect(highspy, highs.passModel(lp), "model")
    _expect(highspy, highs.run(), "run")
    return max(0, -int(-(highs.getInfo().objective_function_value - 1e-6) // 1))


def _plan(table: Table, model: Model, values: Sequence[float]) -> list[int]:
    return [
        max(range(len(options)), key=lambda k: (values[first + k], -k))
        for first, options in zip(model.first, table.options, strict=True)
    ]


def _give_start(highspy: Any, highs: Any, model: Model, start: Sequence[int]) -> None:
    import numpy as np

    # Every binary column, the zeros too: HiGHS then only has the loads left to work out.
    columns = model.first[-1] + 1 if model.first else 0
    chosen = model.columns_of(start)
    columns = next((c for c, whole in enumerate(model.programme.whole) if not whole), columns)
    values = np.zeros(columns)
    values[chosen] = 1.0
    status = highs.setSolution(columns, np.arange(columns, dtype=np.int32), values)
    _expect(highspy, status, "start", allow_warning=True)


def _lp(highspy: Any, made: Programme) -> Any:
    import numpy as np

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(made.cost), len(made.row_low)
    lp.col_cost_ = np.array(made.cost, dtype=float)
    lp.col_lower_, lp.col_upper_ = np.array(made.low, float), np.array(made.high, float)
    lp.row_lower_, lp.row_upper_ = np.array(made.row_low), np.array(made.row_high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(made.starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(made.columns, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(made.factors, dtype=float)
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in made.whole]
    return lp


def _expect(highspy: Any, status: Any, what: str, *, allow_warning: bool = False) -> None:
    fine = {highspy.HighsStatus.kOk}
    if allow_warning:
        fine.add(highspy.HighsStatus.kWarning)
    if status not in fine:
        raise SolverTrouble(f"HiGHS refused the {what}")

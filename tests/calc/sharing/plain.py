"""The weighted aim written down as directly as it can be, for HiGHS as it comes.

Nothing here uses the share-out's own programme, cuts or search: it checks what they come to, and
in the benchmark it tells how hard the weeks are and how fast the machine is.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np

from household.calc.sharing.table import Table

NO_END = highspy.kHighsInf
OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "parallel": "off",
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.999,
}


@dataclass(frozen=True, slots=True)
class Plain:
    """What HiGHS came to by itself; `early_gap` is the gap it had at `early` seconds, 1 if none."""

    objective: float
    bound: float
    proven: bool
    seconds: float
    early_gap: float


def solve(
    table: Table,
    start: Sequence[int] | None = None,
    *,
    seconds: float,
    early: float = 0.0,
    clock: Callable[[], float] = time.perf_counter,
) -> Plain:
    """Share out by HiGHS alone, from a plan if there is one to start from."""
    began, early_gap = clock(), 1.0
    programme = _Programme(table)
    highs = programme.highs
    if start is not None:
        values = np.zeros(programme.places)
        values[[first + k for first, k in zip(programme.first, start, strict=True)]] = 1.0
        highs.setSolution(len(values), np.arange(len(values), dtype=np.int32), values)

    def look(event: Any) -> None:
        nonlocal early_gap
        spent = clock() - began
        best, bound = event.data_out.mip_primal_bound, event.data_out.mip_dual_bound
        if spent <= early and best < NO_END:
            early_gap = (best - bound) / best
        if spent > seconds:
            event.data_in.user_interrupt = True

    highs.cbMipInterrupt.subscribe(look)
    highs.run()
    spent, info = clock() - began, highs.getInfo()
    objective, bound = info.objective_function_value, info.mip_dual_bound
    return Plain(
        objective=objective,
        bound=bound,
        proven=highs.getModelStatus() == highspy.HighsModelStatus.kOptimal and spent <= seconds,
        seconds=spent,
        early_gap=(objective - bound) / objective if spent <= early else early_gap,
    )


class _Programme:
    """A column for each place of each task, then overload by day and the deviations."""

    def __init__(self, table: Table) -> None:
        self.highs = highspy.Highs()
        for name, value in OPTIONS.items():
            self.highs.setOptionValue(name, value)
        self.cells: dict[tuple[int, int], list[tuple[int, float]]] = {}
        self.first: list[int] = []
        for minutes, options in zip(table.minutes, table.options, strict=True):
            self.first.append(self.highs.getNumCol())
            own = [self._place(option.cost) for option in options]
            self._row(1.0, 1.0, [(column, 1.0) for column in own])
            for column, option in zip(own, options, strict=True):
                cell = self.cells.setdefault((option.member, option.day), [])
                cell.append((column, float(minutes)))
        self.places = self.highs.getNumCol()
        self._overload(table)
        self._deviations(table)

    def _overload(self, table: Table) -> None:
        for (member, day), inside in self.cells.items():
            over = self._amount(0.0, table.rates.overload)
            self._row(-NO_END, table.capacity[member][day], [*inside, (over, -1.0)])

    def _deviations(self, table: Table) -> None:
        rates, people = table.rates, len(table.members)
        largest = self._amount(rates.band, rates.largest)
        total = self._amount(rates.band * people, rates.total)
        every = []
        for member, target in enumerate(table.target):
            off = self._amount(0.0, 0.0)
            own = [
                term for cell, inside in self.cells.items() if cell[0] == member for term in inside
            ]
            self._row(-NO_END, target, [*own, (off, -1.0)])
            self._row(target, NO_END, [*own, (off, 1.0)])
            self._row(-NO_END, 0.0, [(off, 1.0), (largest, -1.0)])
            every.append((off, 1.0))
        self._row(-NO_END, 0.0, [*every, (total, -1.0)])

    def _place(self, cost: float) -> int:
        column = self._column(0.0, 1.0, cost)
        self.highs.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        return column

    def _amount(self, low: float, cost: float) -> int:
        return self._column(low, NO_END, cost)

    def _column(self, low: float, high: float, cost: float) -> int:
        column: int = self.highs.getNumCol()
        self.highs.addVar(float(low), float(high))
        self.highs.changeColCost(column, float(cost))
        return column

    def _row(self, low: float, high: float, terms: Sequence[tuple[int, float]]) -> None:
        columns = np.array([column for column, _ in terms], dtype=np.int32)
        factors = np.array([factor for _, factor in terms], dtype=float)
        self.highs.addRow(float(low), float(high), len(terms), columns, factors)

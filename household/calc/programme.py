"""Integer programmes for HiGHS through highspy, where it is installed: always run the same way.

One thread and no parallel parts: the same input gives the same run, and HiGHS must not change
its thread count within a process. Each call's status is checked, because HiGHS answers a bad
model with an empty result instead of an error.
"""

from __future__ import annotations

import ctypes
import importlib
import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import inf
from typing import Any


@cache
def solver() -> Any:
    """The highspy module, or None where no wheel of it exists (32-bit boards)."""
    # numpy comes with it, and would start a thread for each core that has nothing to do here.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        return importlib.import_module("highspy")
    except ImportError:
        return None


class SolverTrouble(RuntimeError):
    """HiGHS refused a call: work on with what there is without it."""


@dataclass(slots=True)
class Programme:
    """Columns and rows under construction; costs are minimised. Rows are (column, factor)."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[int] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def column(self, cost: float, low: float, high: float, *, whole: bool = False) -> int:
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
class Answer:
    """What a run came to: the best values found, what nothing goes below, and whether equal.

    `reduced` are the reduced costs, for a relaxed programme only.
    """

    values: Sequence[float] | None
    objective: float
    bound: float
    proven: bool
    reduced: Sequence[float] = ()


def solve(
    made: Programme,
    *,
    seconds: float,
    step: float = 1.0,
    start: Sequence[float] | None = None,
    cutoff: float = inf,
    options: dict[str, Any] | None = None,
    on_better: Callable[[Sequence[float]], None] | None = None,
    on_bound: Callable[[float], None] | None = None,
    stop: Callable[[], bool] | None = None,
    clock: Callable[[], float] = time.perf_counter,
) -> Answer:
    """Minimise; SolverTrouble if HiGHS refuses the model.

    `step` is what two different objectives differ by at least, so that a smaller gap is a proof.
    `start` gives values of the first columns, enough to work out the rest. Nothing dearer than
    `cutoff` is sought: no values and `proven` then mean that there is nothing up to it, and the
    bound is the cutoff. `options` are HiGHS's own, by their names there. `on_better` is told of
    each better set of values, `on_bound` of the bound as it rises. `stop` may end it before its
    time; `clock` counts the seconds.
    """
    highs = _prepared(made, seconds if clock is time.perf_counter else inf, relaxed=False)
    own = {"mip_rel_gap": 0.0, "mip_abs_gap": step - 0.001, **(options or {})}
    if start is not None:
        # HiGHS 1.16 can carry a start wrongly through its presolve: it then calls a worse plan
        # than the best one optimal. Without presolve it does not, and is no slower here.
        own["presolve"] = "off"
    if cutoff < inf:
        own["objective_bound"] = cutoff
    for name, value in own.items():
        _expect(highs.setOptionValue(name, value), name)
    if start is not None:
        _set_start(highs, start)
    if on_better is not None:
        highs.cbMipImprovingSolution.subscribe(lambda event: on_better(event.data_out.mip_solution))
    until = clock() + seconds
    _watch(
        highs,
        most=cutoff,
        on_bound=on_bound,
        stop=lambda: clock() > until or (stop is not None and stop()),
    )
    _expect(highs.run(), "run", allow_warning=True)
    return _answer(made, highs, step, cutoff)


def _answer(made: Programme, highs: Any, step: float, cutoff: float) -> Answer:
    highspy = solver()
    info, status = highs.getInfo(), highs.getModelStatus()
    ended = status in (
        highspy.HighsModelStatus.kOptimal,
        highspy.HighsModelStatus.kInfeasible,
    )
    values, objective = None, inf
    if info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
        values = highs.getSolution().col_value
        objective = sum(cost * value for cost, value in zip(made.cost, values, strict=True) if cost)
    if objective > cutoff and ended and cutoff < inf:
        # What HiGHS happened to find above the cutoff is no answer; that it ended is one.
        return Answer(None, inf, cutoff, True)
    bound = min(info.mip_dual_bound, cutoff)
    return Answer(
        values=values,
        objective=objective,
        bound=bound,
        # HiGHS's word is not enough: what it found must also cost what it says nothing is below.
        proven=status == highspy.HighsModelStatus.kOptimal and objective - bound < max(step, 1e-3),
    )


def _set_start(highs: Any, start: Sequence[float]) -> None:
    import numpy as np

    status = highs.setSolution(
        len(start), np.arange(len(start), dtype=np.int32), np.array(start, dtype=float)
    )
    _expect(status, "start", allow_warning=True)


def _watch(
    highs: Any,
    *,
    most: float,
    on_bound: Callable[[float], None] | None,
    stop: Callable[[], bool],
) -> None:
    known = -inf

    def look(event: Any) -> None:
        nonlocal known
        bound = min(event.data_out.mip_dual_bound, most)
        if on_bound is not None and bound > known:
            known = bound
            on_bound(bound)
        if stop():
            event.data_in.user_interrupt = True

    highs.cbMipInterrupt.subscribe(look)


class Relaxation:
    """A programme with every whole column divisible, kept ready for more rows."""

    def __init__(self, made: Programme, *, seconds: float = inf) -> None:
        self._highs = _prepared(made, seconds, relaxed=True)

    def add(self, rows: Sequence[tuple[Sequence[tuple[int, float]], float]]) -> None:
        """More rows, each (terms, high): the sum of factor x column is at most high."""
        import numpy as np

        for terms, high in rows:
            columns = np.array([column for column, _ in terms], dtype=np.int32)
            factors = np.array([factor for _, factor in terms], dtype=float)
            _expect(self._highs.addRow(-inf, high, len(terms), columns, factors), "row")

    def solve(self) -> Answer:
        """Minimise, from where the last run ended."""
        highs = self._highs
        _expect(highs.run(), "run", allow_warning=True)
        solution, value = highs.getSolution(), highs.getInfo().objective_function_value
        return Answer(
            values=solution.col_value,
            objective=value,
            bound=value,
            proven=highs.getModelStatus() == solver().HighsModelStatus.kOptimal,
            reduced=solution.col_dual,
        )


def relax(made: Programme, *, seconds: float) -> Answer:
    """Minimise with every whole column divisible; `proven` is false if time ran out."""
    return Relaxation(made, seconds=seconds).solve()


def _prepared(made: Programme, seconds: float, *, relaxed: bool) -> Any:
    highs = _new_highs()
    own = {
        "output_flag": False,
        "threads": 1,
        "parallel": "off",
        "time_limit": max(0.01, seconds),
    }
    for name, value in own.items():
        _expect(highs.setOptionValue(name, value), name)
    _expect(highs.passModel(_lp(made, relaxed=relaxed)), "model")
    return highs


def _new_highs() -> Any:
    # Making the first one writes a banner to file number 1, past Python's own stdout.
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


def _lp(made: Programme, *, relaxed: bool) -> Any:
    import numpy as np

    highspy = solver()
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(made.cost), len(made.row_low)
    lp.col_cost_ = np.array(made.cost, dtype=float)
    lp.col_lower_, lp.col_upper_ = np.array(made.low, float), np.array(made.high, float)
    lp.row_lower_, lp.row_upper_ = np.array(made.row_low, float), np.array(made.row_high, float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(made.starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(made.columns, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(made.factors, dtype=float)
    if not relaxed:
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if w else kinds.kContinuous for w in made.whole]
    return lp


def _expect(status: Any, what: str, *, allow_warning: bool = False) -> None:
    statuses = solver().HighsStatus
    fine = {statuses.kOk, statuses.kWarning} if allow_warning else {statuses.kOk}
    if status not in fine:
        raise SolverTrouble(f"HiGHS refused the {what}")

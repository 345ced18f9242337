"""How well 48 made-up weeks are shared out: `python -m tests.benchmarks.sharing [--only 8x200]`.

Prints a row for each week and the totals beside the targets. Seconds are counted by the process's
own CPU time, so that a busy machine gives the same table as an idle one; `--clock wall` counts as
a household's own machine would. The time on the wall is printed beside it.

With `--yardstick` HiGHS alone has the same weeks in the same run, from the greedy plan and for as
long: the ratios hold on any machine, the seconds on this one.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from household.calc.sharing import EVEN, Problem, Solution, from_json, share_out
from household.calc.sharing.aims import broken_limits, components
from household.calc.sharing.local import State
from household.calc.sharing.solve import first_plan, greedy_plan
from household.calc.sharing.table import Table, tabulate
from tests.benchmarks.sharing_weeks import weeks
from tests.calc.sharing import plain

CLOCKS = {"cpu": time.process_time, "wall": time.perf_counter}
SECONDS = 10.0
GAP_AT = 5.0
HEAD = (
    "week                   objective  local search       bound  gap 5 s     gap  proven"
    "   1st s     s  wall s  checked"
)


@dataclass(frozen=True, slots=True)
class Row:
    """One week: what local search and the share-out came to, and when."""

    week: str
    local: int
    solution: Solution
    first_seconds: float
    gap_at: float
    wall: float
    checked: bool

    def line(self) -> str:
        """The row in the table."""
        found = self.solution
        return (
            f"{self.week:22} {found.value:9} {self.local:13} {found.bound:11} "
            f"{self.gap_at:8.2%} {found.gap:7.2%} {'yes' if found.proven else '-':>7} "
            f"{self.first_seconds:7.2f} {found.seconds:5.2f} {self.wall:7.1f} "
            f"{'ok' if self.checked else 'WRONG':>8}"
        )


def measure(problem: Problem, clock: Callable[[], float], seconds: float) -> Row:
    """Share one week out, and look at every plan told on the way."""
    table = tabulate(problem, EVEN)
    local = State(table, first_plan(table)).value
    told: list[tuple[float, Solution]] = []
    began, wall = clock(), time.perf_counter()
    found = share_out(
        problem,
        seconds=seconds,
        clock=clock,
        on_better=lambda better: told.append((clock() - began, better)),
    )
    wall = time.perf_counter() - wall
    early = [plan.gap for at, plan in told if at <= GAP_AT]
    in_time = found.gap if found.seconds <= GAP_AT else early[-1] if early else 1.0
    return Row(
        week=problem.id,
        local=local,
        solution=found,
        first_seconds=told[0][0],
        gap_at=in_time,
        wall=wall,
        checked=all(sound(problem, plan) for plan in (found, *(plan for _, plan in told))),
    )


def alone(table: Table, clock: Callable[[], float], seconds: float) -> plain.Plain:
    """What HiGHS comes to by itself, from the better of two greedy plans."""
    return plain.solve(table, greedy_plan(table), seconds=seconds, early=GAP_AT, clock=clock)


def sound(problem: Problem, plan: Solution) -> bool:
    """Whether the independent checker finds every hard limit kept and the same objective."""
    weighed = EVEN.weigh(components(problem, plan.assignment), len(problem.members))
    return broken_limits(problem, plan.assignment) == () and weighed == plan.value >= plan.bound


def totals(rows: Sequence[Row]) -> list[str]:
    """What the targets ask for, and what was reached."""
    count, seconds = len(rows), [row.solution.seconds for row in rows]
    eights = [row.solution.seconds for row in rows if row.week.startswith("8x200")]
    plans = [row.solution for row in rows]
    proven = [plan for plan in plans if plan.proven and plan.seconds <= SECONDS]
    nearly = [plan for plan in plans if plan.value - plan.bound < EVEN.minute]
    lines = [
        f"never a hard violation: {sum(row.checked for row in rows)} of {count} weeks sound",
        f"proven within {SECONDS:g} s: {len(proven)} of {count} (target: 44 of 48)",
        f"proven, or no split better by a minute of fairness: {len(nearly)} of {count}",
        f"median seconds: {statistics.median(seconds):.2f} (target: at most 0.9)",
        f"gap under 1 % at {GAP_AT:g} s: {sum(row.gap_at < 0.01 for row in rows)} of {count}"
        " (target: 46 of 48)",
        f"never worse than local search: "
        f"{sum(row.solution.value <= row.local for row in rows)} of {count}",
    ]
    if eights:
        lines.append(f"8 x 200, median seconds: {statistics.median(eights):.2f} (target: 2)")
    return lines


def ratios(rows: Sequence[Row], others: Sequence[plain.Plain]) -> list[str]:
    """The share-out against HiGHS alone on the same weeks."""
    own = statistics.median(row.solution.seconds for row in rows)
    theirs = statistics.median(other.seconds for other in others)
    eights = [
        (row.solution.seconds, other.seconds)
        for row, other in zip(rows, others, strict=True)
        if row.week.startswith("8x200")
    ]
    false = sum(
        other.proven and other.objective > row.solution.value + 0.5
        for row, other in zip(rows, others, strict=True)
    )
    early = sum(other.early_gap < 0.01 for other in others)
    lines = [
        f"HiGHS alone: {sum(other.proven for other in others)} proven ({false} falsely), "
        f"median {theirs:.2f} s, gap under 1 % at {GAP_AT:g} s in {early}",
        f"median seconds against HiGHS alone: {own / theirs:.2f} x",
    ]
    if eights:
        own, theirs = (statistics.median(each) for each in zip(*eights, strict=True))
        lines.append(f"8 x 200 against HiGHS alone: {own / theirs:.2f} x ({theirs:.2f} s)")
    return lines


def main() -> None:
    """Run the weeks and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", nargs="*", default=[], help="parts of weeks' names")
    parser.add_argument("--clock", choices=sorted(CLOCKS), default="cpu")
    parser.add_argument("--seconds", type=float, default=SECONDS)
    parser.add_argument("--yardstick", action="store_true", help="HiGHS alone as well")
    given = parser.parse_args()
    problems = [from_json(week) for week in weeks()]
    print(f"seconds by the {given.clock} clock\n{HEAD}", flush=True)
    rows, others = [], []
    for problem in problems:
        if not given.only or any(part in problem.id for part in given.only):
            rows.append(measure(problem, CLOCKS[given.clock], given.seconds))
            print(rows[-1].line(), flush=True)
            if given.yardstick:
                others.append(alone(tabulate(problem, EVEN), CLOCKS[given.clock], given.seconds))
    print("\n".join([*totals(rows), *(ratios(rows, others) if others else [])]))


if __name__ == "__main__":
    main()

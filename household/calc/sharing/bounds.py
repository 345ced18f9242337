"""How small each aim could be if it alone mattered: for reports beside the weighted aim."""

from __future__ import annotations

from dataclasses import replace

from household.calc.sharing import model
from household.calc.sharing.aims import change_points, comfort_points
from household.calc.sharing.problem import Place, Problem
from household.calc.sharing.rates import EVEN, Components
from household.calc.sharing.table import Table, tabulate


def alone(problem: Problem) -> Components:
    """A value for each component that no plan goes below, whatever happens to the others.

    Changes and comfort are exact, task by task. The minutes come from the relaxed programme where
    there is a solver, and from plain sums where there is none.
    """
    changes = comfort = 0
    for task in problem.tasks:
        places = [Place(member, day) for member in task.who_may() for day in task.days]
        if places:
            changes += min(change_points(task, place) for place in places)
            comfort += min(comfort_points(problem, task, place) for place in places)
    overload, largest, total = _minutes(problem)
    return Components(overload, largest, total, changes, comfort)


def _minutes(problem: Problem) -> tuple[int, int, int]:
    bare = replace(EVEN, band=0)
    table = tabulate(problem, bare)
    simple = _plain_minutes(table)
    if model.solver() is None or not table.ids:
        return simple
    made = model.build(table)
    relaxed = (
        model.relaxed_minimum(made, made.overload.values()),
        model.relaxed_minimum(made, (made.largest,)),
        model.relaxed_minimum(made, (made.total,)),
    )
    return (
        max(simple[0], relaxed[0]),
        max(simple[1], relaxed[1]),
        max(simple[2], relaxed[2]),
    )


def _plain_minutes(table: Table) -> tuple[int, int, int]:
    beyond = max(0, sum(table.minutes) - sum(sum(days) for days in table.capacity))
    off = []
    for m, target in enumerate(table.target):
        may = [{option.member for option in options} for options in table.options]
        most = sum(size for size, who in zip(table.minutes, may, strict=True) if m in who)
        least = sum(size for size, who in zip(table.minutes, may, strict=True) if who == {m})
        off.append(max(0, target - most, least - target))
    return beyond, max(off, default=0), sum(off)

"""A second pass: less envy for at most a few minutes of fairness.

What is minimised is the excess over weighted envy-freeness up to one chore, summed over pairs.
With hard limits on who may do what such a plan need not exist, so nothing is promised.
"""

from __future__ import annotations

from math import inf

from household.calc.sharing import model
from household.calc.sharing.problem import Problem
from household.calc.sharing.rates import BURDEN_PERCENT
from household.calc.sharing.solve import Solution, describe
from household.calc.sharing.table import Table, tabulate

SLACK_MINUTES = 10


def lower_envy(
    problem: Problem, solution: Solution, *, seconds: float, slack: int = SLACK_MINUTES
) -> Solution:
    """A plan with less envy, overload the same, deviations at most `slack` minutes larger.

    Changes and discomfort may grow by what `slack` minutes of total deviation cost, no more.
    The same solution comes back where envy cannot be lowered in that time, where there is none,
    or without a solver. The bound of the first pass stays, so `gap` says what the pass gave up.
    """
    if not solution.envy or model.solver() is None:
        return solution
    table = tabulate(problem, solution.rates)
    start = table.write(solution.assignment)
    if start is None:
        return solution
    made = _programme(problem, table, solution, slack)
    try:
        run = model.run(table, made, start, seconds=seconds, step=1)
    except model.SolverTrouble:
        return solution
    if run.plan is None:
        return solution
    calmer = describe(
        problem,
        solution.rates,
        table.read(run.plan),
        bound=solution.bound,
        limited_by=solution.limited_by,
        seconds=solution.seconds,
    )
    if _excess(calmer) >= _excess(solution):
        return solution
    return calmer


def _excess(solution: Solution) -> int:
    return sum(pair.excess for pair in solution.envy)


def _programme(problem: Problem, table: Table, solution: Solution, slack: int) -> model.Model:
    made = model.build(table)
    parts = solution.components
    model.fix_fairness(
        made,
        table,
        overload=parts.overload_minutes,
        largest=parts.max_share_deviation_minutes,
        total=parts.sum_share_deviation_minutes,
        slack=slack,
    )
    programme = made.programme
    costs = [
        (column, float(cost))
        for column, cost in enumerate(programme.cost)
        if programme.whole[column] and cost
    ]
    kept = parts.comfort_points + solution.rates.change * parts.change_points
    programme.row(costs, -inf, kept + slack * solution.rates.total)
    programme.cost[:] = [0] * len(programme.cost)
    columns = _columns_by_member(table, made)
    weights = [member.weight for member in problem.members]
    for i, member in enumerate(problem.members):
        burden = [
            problem.task_by_id[id].minutes
            * BURDEN_PERCENT[member.dislikes(problem.task_by_id[id].kind)]
            for id in table.ids
        ]
        dropped = {}
        for t, own in columns[i].items():
            dropped[t] = programme.column(0, 0, 1, whole=True)
            programme.row([(dropped[t], 1.0), *((c, -1.0) for c in own)], -inf, 0)
        if not dropped:
            continue
        programme.row([(column, 1.0) for column in dropped.values()], -inf, 1)
        for j in range(len(problem.members)):
            if i != j:
                excess = programme.column(1, 0, inf)
                terms = [
                    (c, weights[j] * burden[t] / 100) for t in columns[i] for c in columns[i][t]
                ]
                terms += [(column, -weights[j] * burden[t] / 100) for t, column in dropped.items()]
                terms += [
                    (c, -weights[i] * burden[t] / 100) for t in columns[j] for c in columns[j][t]
                ]
                programme.row([*terms, (excess, -1.0)], -inf, 0)
    return made


def _columns_by_member(table: Table, made: model.Model) -> list[dict[int, list[int]]]:
    columns: list[dict[int, list[int]]] = [{} for _ in table.members]
    for t, (first, options) in enumerate(zip(made.first, table.options, strict=True)):
        for k, option in enumerate(options):
            columns[option.member].setdefault(t, []).append(first + k)
    return columns

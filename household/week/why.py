"""Why a task is with somebody: what the plan knows, in short sentences."""

from __future__ import annotations

from household.calc.sharing import explain, words
from household.calc.sharing.problem import Place, Problem
from household.calc.sharing.rates import PRESETS
from household.calc.sharing.solve import describe
from household.chores.models import Task
from household.week.assembling import problem_of, who_may
from household.week.places import where_in
from household.week.queries import Week


def why_words(week: Week, task: Task) -> list[str]:
    """Sentences; the first says who may do it, the others why it fell to this person."""
    where = where_in(week, task)
    if where is None:
        return [_who(week, task), "It has no person or day in this week yet."]
    if where.held:
        return [_who(week, task), f"It was put with {where.member.name} by hand."]
    problem, places = _as_it_stands(week)
    if str(task.pk) not in places:
        return [_who(week, task)]
    names = {str(member.pk): member.name for member in week.members}
    solution = describe(
        problem, PRESETS[week.plan.preset], places, bound=0, limited_by="time", seconds=0
    )
    reason = explain.why(problem, solution, str(task.pk))
    return [_who(week, task), words.why_words(reason, names)]


def _as_it_stands(week: Week) -> tuple[Problem, dict[str, Place]]:
    """The tasks that have an allowed place now, as a problem of their own, and those places."""
    whole = problem_of(week)
    stands = {str(task.pk): where_in(week, task) for task in week.tasks}
    places = {
        id: Place(str(where.member.pk), week.days.index(where.day))
        for id, where in stands.items()
        if where is not None
    }
    allowed = {
        task.id: places[task.id]
        for task in whole.tasks
        if task.id in places and places[task.id] in whole.places(task)
    }
    tasks = tuple(task for task in whole.tasks if task.id in allowed)
    return Problem(whole.id, whole.members, tasks), allowed


def _who(week: Week, task: Task) -> str:
    names = [member.name for member in who_may(week, task)]
    if not names:
        return "Nobody may do it: look at its age, hazards and skill."
    if len(names) == len(week.members):
        return "Everybody may do it."
    if len(names) == 1:
        return f"Only {names[0]} may do it."
    return f"{', '.join(names[:-1])} and {names[-1]} may do it."

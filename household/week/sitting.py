"""The share-out of a week: started in a process of its own, its best plan kept as the draft."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from django.conf import settings

from household.calc.names import DAYS
from household.calc.sharing import explain, words, worker
from household.calc.sharing.problem import Problem
from household.calc.sharing.rates import PRESETS
from household.chores.hiding import open_name
from household.chores.models import Task
from household.kit.words import listed
from household.people.models import WorkKind
from household.week.actions import better_draft, keep_draft
from household.week.assembling import places_of, problem_of
from household.week.models import WeekPlan
from household.week.queries import Week

SECONDS = 10.0
WAIT_SECONDS = 2.0
STEP_SECONDS = 0.1
# A limit that leaves more people than these stands in nobody's way by itself.
FEW_NAMES = 3


def folder() -> Path:
    return Path(settings.DATA_DIR) / "searches"


def share(week: Week) -> WeekPlan:
    """Start a search, wait a moment for it, and keep the best plan so far as the draft."""
    problem = problem_of(week)
    handle = worker.start(
        problem, seconds=SECONDS, folder=folder(), rates=PRESETS[week.plan.preset]
    )
    until = monotonic() + WAIT_SECONDS
    progress = worker.poll(handle)
    while not (progress.done or progress.failed) and monotonic() < until:
        sleep(STEP_SECONDS)
        progress = worker.poll(handle)
    ended = progress.done or progress.failed
    return keep_draft(
        week=week,
        places=places_of(week, progress.shown.assignment),
        outcome=outcome_of(week, problem, progress, "" if ended else handle.token),
        words="sharing out",
    )


def look_again(week: Week) -> bool:
    """Take a better plan from a search that still runs; returns whether it goes on."""
    plan = week.plan
    token = plan.outcome.get("token", "")
    if not token:
        return False
    try:
        progress = worker.poll(worker.handle_of(folder(), token))
    except (FileNotFoundError, ValueError):
        _keep_better(week, plan.places, {**plan.outcome, "token": ""})
        return False
    goes_on = not (progress.done or progress.failed)
    outcome = outcome_of(week, problem_of(week), progress, token if goes_on else "")
    if outcome != plan.outcome:
        _keep_better(week, places_of(week, progress.shown.assignment), outcome)
    return goes_on


def _keep_better(week: Week, places: dict[str, Any], outcome: dict[str, Any]) -> None:
    plan = week.plan
    was = plan.places
    if better_draft(plan_id=plan.pk, was=was, places=places, outcome=outcome):
        plan.places, plan.outcome = places, outcome


def outcome_of(
    week: Week, problem: Problem, progress: worker.Progress, token: str
) -> dict[str, Any]:
    """What the page says about a plan: its proof, and what stands in the way, in plain words."""
    names = {str(member.pk): member.name for member in week.members}
    tasks = {str(task.pk): task for task in week.tasks}
    solution = progress.shown
    return {
        "token": token,
        "proven": solution.proven,
        "gap": solution.gap,
        "words": words.proof_words(problem, solution, names, fairest=progress.solution),
        "envy": words.envy_words(problem, solution, names),
        "obstacles": [
            words.obstacle_words(each, names, _these(each, tasks))
            for each in explain.obstacles(problem, solution)
            if len(each.may) <= FEW_NAMES
        ],
        "full": [_full(week, each, names, tasks) for each in explain.overload(problem, solution)],
        "unplaced": [open_name(tasks[id]) for id in solution.unplaced],
    }


def _full(
    week: Week, much: explain.TooMuch, names: Mapping[str, str], tasks: Mapping[str, Task]
) -> dict[str, Any]:
    """A day with more to do than there is time for, and the shortest ways out."""
    ways = ["another day for a task"] if much.elsewhere else []
    if much.leave_out:
        ways.append(f"leaving out “{open_name(tasks[much.leave_out])}”")
    return {
        "minutes": much.minutes,
        "who": names[much.member],
        "day": DAYS[week.days[much.day].weekday()],
        "way": ", or ".join(ways),
    }


def _these(obstacle: explain.Obstacle, tasks: Mapping[str, Task]) -> str:
    """What a limit's tasks are called: by name while they are few, else by their kind."""
    names = list(dict.fromkeys(open_name(tasks[id]) for id in obstacle.tasks))
    if len(names) <= 2:
        return listed([f"“{name}”" for name in names])
    if obstacle.kind:
        return f"the {WorkKind(obstacle.kind).label.lower()} like “{names[0]}”"
    return f"“{names[0]}” and {len(names) - 1} more"

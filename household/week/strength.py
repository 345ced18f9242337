"""A week with less strength than usual: what runs, what runs lighter, and what waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from household.calc.fitting import Fitted, Job, bare_minimum, fit, fit_members, job
from household.calc.settling import lighter_minutes
from household.chores import settling, ticking
from household.chores.changes import touch
from household.chores.models import Entry, Importance, State, Task
from household.chores.queries import with_chore
from household.kit.writing import writes
from household.people.models import Member
from household.week.assembling import who_may
from household.week.queries import Week

REASON = "A lighter week"
# What a minute of a task is worth by its importance, so that many small things do not outweigh
# one that matters. Common practice, no source.
WORTH = {
    Importance.LOW: 1,
    Importance.USUAL: 2,
    Importance.HIGH: 5,
    Importance.SAFETY: 20,
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to leave out and what to do more lightly, so that the rest fits."""

    fitted: Fitted
    waiting: tuple[Task, ...]
    lighter: tuple[Task, ...]
    kept: int


def propose(week: Week, *, bare: bool = False) -> Proposal:
    """Fit the open tasks of the week into the free minutes at the week's strength."""
    tasks = {str(task.pk): task for task in week.tasks if week.must_be_placed(task)}
    jobs = [_job(week, task) for task in tasks.values()]
    free = _free(week)
    if bare:
        fitted = bare_minimum(jobs, sum(free.values()))
    elif len(set(_strengths(week).values())) > 1:
        fitted = fit_members([each for each in jobs if each.may or not each.must], free)
    else:
        fitted = fit(jobs, sum(free.values()))
    return Proposal(
        fitted=fitted,
        waiting=tuple(tasks[id] for id in fitted.waiting),
        lighter=tuple(tasks[id] for id in fitted.lightened),
        kept=len(jobs) - len(fitted.waiting),
    )


def _strengths(week: Week) -> dict[int, int]:
    return {member.pk: week.plan.strength_of(member.pk) for member in week.members}


def _free(week: Week) -> dict[str, int]:
    """Minutes that are left from today on, at the week's strength, by member id."""
    return {
        str(member.pk): sum(
            free
            for day, free in zip(week.days, week.free[member.pk], strict=True)
            if day >= week.today
        )
        for member in week.members
    }


def _job(week: Week, task: Task) -> Job:
    importance = Importance(task.chore.importance) if task.chore else Importance.USUAL
    lighter = (
        lighter_minutes(task.minutes) if settling.may_lighten(task.level, importance) else None
    )
    may = [str(member.pk) for member in who_may(week, task)]
    return job(
        str(task.pk),
        minutes=task.minutes,
        importance=WORTH[importance] * task.minutes,
        lighter=lighter,
        must=not settling.may_drop(importance),
        may=may,
    )


@writes
def set_strength(*, week: Week, everybody: int, members: Mapping[int, int]) -> None:
    """How much strength there is, in percent; `members` only where somebody differs."""
    plan = week.plan
    plan.strength = everybody
    plan.strengths = {str(pk): percent for pk, percent in members.items() if percent != everybody}
    plan.save()
    touch(plan.household_id)


@writes
def lighten_week(
    *,
    week: Week,
    leave_out: set[int],
    lighten: set[int],
    actor: Member,
    now: datetime,
    horizon: date,
) -> int:
    """Leave tasks out and do others more lightly; each is an entry, and all can be had back."""
    entries: list[int] = []
    chosen = with_chore(week.household).filter(pk__in=leave_out | lighten, state=State.OPEN)
    for task in chosen.order_by("closes", "id"):
        if task.pk in leave_out:
            ticking.skip(task=task, member=actor, reason=REASON, now=now, horizon=horizon)
        else:
            settling.lighten(task=task, actor=actor, now=now)
        entries.append(task.entries.order_by("-at", "-id").values_list("pk", flat=True)[0])
    plan = week.plan
    plan.fitted = [*plan.fitted, *entries]
    plan.places = {}
    plan.outcome = {}
    plan.save()
    touch(plan.household_id)
    return len(entries)


@writes
def have_back(*, week: Week, actor: Member, now: datetime, horizon: date) -> int:
    """Put back what was left out or lightened, except what somebody has changed since."""
    plan = week.plan
    back = 0
    for entry in Entry.objects.filter(pk__in=plan.fitted, undone_by=None).order_by("-at", "-id"):
        task = with_chore(week.household).filter(entries=entry).first()
        if task is None:
            continue
        newest = task.entries.order_by("-at", "-id").values_list("pk", flat=True)[0]
        if newest == entry.pk:
            ticking.undo(task=task, member=actor, now=now, horizon=horizon)
            back += 1
    plan.fitted, plan.strength, plan.strengths = [], 100, {}
    plan.save()
    touch(plan.household_id)
    return back

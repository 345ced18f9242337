"""Makes lead jobs into tasks, and keeps those tasks right when an occasion or a job changes.

Each lead job of each year's occasion becomes one task, once: `LeadTask` holds the key. What has
been done or left out is never touched again; what is open follows its occasion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any, Final

from household.calc.occasions import between
from household.chores import ticking
from household.chores.changes import change
from household.chores.hiding import hide
from household.chores.models import Did, State, Task
from household.kit.writing import writes
from household.occasions import queries
from household.occasions.models import MOST_BEFORE, LeadTask, Occasion
from household.occasions.queries import Coming, Lead
from household.people.models import AgeBand, Household, Member

NOT_WANTED: Final = "It is not needed any more"
OVER: Final = "The occasion is over"
NAME_LENGTH: Final = 80


@writes
def prepare(*, households: Sequence[int], today: date, horizon: date, now: datetime) -> int:
    """Write, move and let go the lead jobs' tasks of these homes; gives how many were written."""
    homes = Household.objects.filter(pk__in=households, occasions__isnull=False).distinct()
    return sum(_prepare(home, today, horizon, now) for home in homes)


def _prepare(household: Household, today: date, horizon: date, now: datetime) -> int:
    found = list(queries.occasions(household))
    living = Member.objects.filter(household=household, archived_at=None)
    people = frozenset(living.values_list("pk", flat=True))
    wanted = {_key(lead): lead for lead in _wanted(household, found, today, horizon)}
    written = 0
    known = LeadTask.objects.filter(occasion__household=household, task__state=State.OPEN)
    gone = LeadTask.objects.filter(
        occasion__household=household, task__state=State.LAPSED, task__reason=NOT_WANTED
    )
    for row in (known | gone).select_related("task", "task__household", "occasion", "job"):
        lead = wanted.get((row.occasion_id, row.job_id, row.year))
        if lead is None:
            _let_go(row, today, now)
        else:
            _follow(row, lead, people, now)
    for lead in wanted.values():
        if lead.written is None:
            _write(lead, people, now)
            written += 1
    return written


def _wanted(household: Household, found: list[Occasion], today: date, horizon: date) -> list[Lead]:
    """Lead jobs of occasions still to come whose window has opened by the horizon.

    What should have been done before today, while the occasion is still ahead, is for today:
    after a downtime, or when an occasion was added late.
    """
    leap = queries.leap_of(household)
    until = date.fromordinal(horizon.toordinal() + MOST_BEFORE + 1)
    days = [
        Coming(each, falls)
        for each in found
        for falls in between(each.as_rule(), today, until, leap)
    ]
    leads = queries.leads(days, queries.jobs_of(household), queries.written(found))
    return [_in_time(lead, today) for lead in leads if lead.opens <= horizon]


def _in_time(lead: Lead, today: date) -> Lead:
    """A window whose end has passed ends today, unless its task was written with it."""
    if lead.closes >= today:
        return lead
    if lead.written is not None and lead.written.day == lead.falls.day:
        return replace(lead, opens=lead.written.opens, closes=lead.written.closes)
    return replace(lead, opens=today, closes=today)


def _key(lead: Lead) -> tuple[int, int, int]:
    return lead.occasion.pk, lead.job.pk, lead.falls.year


def _write(lead: Lead, people: frozenset[int], now: datetime) -> None:
    job, occasion = lead.job, lead.occasion
    task = ticking.add_one_off(
        household=occasion.household,
        actor=None,
        now=now,
        name=task_name(lead),
        minutes=job.minutes,
        opens=lead.opens,
        closes=lead.closes,
        member=None,
        kind=job.work,
        limits=_limits(lead) or None,
        keeper_id=job.keeper_id,
        keep_minutes=job.keep_minutes,
    )
    hide(task, queries.kept_from(job, occasion, people))
    LeadTask.objects.create(
        occasion=occasion,
        job=job,
        year=lead.falls.year,
        task=task,
        day=lead.falls.day,
        opens=lead.opens,
        closes=lead.closes,
    )


def task_name(lead: Lead) -> str:
    """ "Write the card: Greta’s birthday": what and for which occasion, never what is given."""
    room = NAME_LENGTH - len(lead.job.name) - 2
    occasion = lead.occasion.name
    if len(occasion) > room:
        occasion = f"{occasion[: max(room - 1, 0)].rstrip()}…"
    return f"{lead.job.name}: {occasion}"[:NAME_LENGTH]


def _limits(lead: Lead) -> dict[str, Any]:
    limits: dict[str, Any] = {}
    if lead.job.min_age != AgeBand.UNDER_5:
        limits["min_age"] = lead.job.min_age
    if lead.job.may:
        limits["may"] = list(lead.job.may)
    return limits


def _follow(row: LeadTask, lead: Lead, people: frozenset[int], now: datetime) -> None:
    """Let an open task, or one let go before its time, be as its occasion and job are now."""
    task = row.task
    _limit(task, lead, people)
    fields = _changed(row, lead)
    if task.state == State.LAPSED:
        fields |= {"state": State.OPEN, "reason": ""}
    if fields:
        did = Did.RESTORED if "state" in fields else Did.MOVED if "closes" in fields else None
        change(task, actor=None, did=did or Did.CHANGED, now=now, **fields)
    if (row.day, row.opens, row.closes) != (lead.falls.day, lead.opens, lead.closes):
        LeadTask.objects.filter(pk=row.pk).update(
            day=lead.falls.day, opens=lead.opens, closes=lead.closes
        )


def _changed(row: LeadTask, lead: Lead) -> dict[str, Any]:
    """The task's fields that are to change; a window that somebody eased by hand stays."""
    task, job = row.task, lead.job
    fields: dict[str, Any] = {}
    if (row.opens, row.closes) != (lead.opens, lead.closes):
        fields |= {"opens": lead.opens, "closes": lead.closes}
        if lead.opens == lead.closes:
            fields["day"] = lead.opens
        elif task.day is not None and not lead.opens <= task.day <= lead.closes:
            fields["day"] = None
    wanted = {
        "name": task_name(lead),
        "minutes": job.minutes,
        "kept_by_id": job.keeper_id,
        "kept_minutes": job.keep_minutes if job.keeper_id else 0,
    }
    fields |= {name: value for name, value in wanted.items() if getattr(task, name) != value}
    held = task.member_id
    if held is not None and (held in _hidden_from(task) or (job.may and held not in job.may)):
        fields["member_id"] = None
    return fields


def _hidden_from(task: Task) -> list[int]:
    return list((task.limits or {}).get("hidden_from", ()))


def _limit(task: Task, lead: Lead, people: frozenset[int]) -> None:
    hidden = _hidden_from(task)
    limits = _limits(lead)
    if hidden:
        limits["hidden_from"] = hidden
    if (task.limits or {}) != limits:
        task.limits = limits or None
        Task.objects.filter(pk=task.pk).update(limits=task.limits)
    hide(task, queries.kept_from(lead.job, lead.occasion, people))


def _let_go(row: LeadTask, today: date, now: datetime) -> None:
    """An occasion put away, a job taken out, or a day gone by: the open task goes."""
    if row.task.state != State.OPEN:
        return
    over = row.day < today and row.occasion.archived_at is None and row.job.archived_at is None
    change(
        row.task,
        actor=None,
        did=Did.LAPSED,
        now=now,
        state=State.LAPSED,
        reason=OVER if over else NOT_WANTED,
    )

"""Makes lead jobs into tasks, and keeps those tasks right when an occasion or a job changes.

Each lead job of each year's occasion becomes one task, once: `LeadTask` holds the key. What has
been done or left out is never touched again; what is open follows its occasion.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from operator import attrgetter
from typing import Any, Final, TypeVar

from django.db.models import Q

from household.calc.occasions import Leap, between
from household.chores import ticking
from household.chores.changes import change
from household.chores.hiding import hide
from household.chores.models import Did, State, Task
from household.kit.writing import writes
from household.occasions import queries
from household.occasions.models import LeadJob, LeadTask, Occasion, OccasionSettings
from household.occasions.queries import Coming, Jobs, Lead
from household.people.models import AgeBand, Member

Row = TypeVar("Row")

NOT_WANTED: Final = "It is not needed any more"
OVER: Final = "The occasion is over"
NAME_LENGTH: Final = 80


@dataclass(frozen=True, slots=True)
class Home:
    """What the lead jobs of one household hang on."""

    occasions: Sequence[Occasion]
    leap: Leap
    jobs: Jobs
    about: Mapping[int, frozenset[int]]  # ids of members by occasion
    living: frozenset[int]
    rows: Sequence[LeadTask]  # of this year and the last, and all that may still change


@writes
def prepare(*, households: Sequence[int], today: date, horizon: date, now: datetime) -> int:
    """Write, move and let go the lead jobs' tasks of these homes; gives how many were written.

    Six queries read what all of them hang on: a day costs what changes, not what exists.
    """
    return sum(_prepare(home, today, horizon, now) for home in _homes(households, today))


def _homes(households: Sequence[int], today: date) -> Iterator[Home]:
    having = {"household__in": households}
    occasions = _by_home(
        Occasion.objects.filter(**having, archived_at=None).select_related("household")
    )
    rows = _by_home(
        LeadTask.objects.filter(
            Q(year__gte=today.year - 1)
            | Q(task__state=State.OPEN)
            | Q(task__state=State.LAPSED, task__reason=NOT_WANTED),
            occasion__household__in=households,
        ).select_related("task", "occasion", "job"),
        of=lambda row: row.occasion.household_id,
    )
    homes = occasions.keys() | rows.keys()
    if not homes:
        return
    having = {"household__in": list(homes)}
    leaps = dict(OccasionSettings.objects.filter(**having).values_list("household_id", "leap"))
    jobs = _by_home(LeadJob.objects.filter(**having, archived_at=None))
    living = _by_home(Member.objects.filter(**having, archived_at=None))
    about: dict[int, set[int]] = defaultdict(set)
    concerns = Occasion.concerns.through.objects.filter(occasion__household__in=homes)
    for occasion, member in concerns.values_list("occasion_id", "member_id"):
        about[occasion].add(member)
    for home in sorted(homes):
        yield Home(
            occasions=occasions.get(home, ()),
            leap=Leap(leaps.get(home, Leap.FEBRUARY)),
            jobs=queries.jobs_among(jobs.get(home, ())),
            about={each.pk: frozenset(about[each.pk]) for each in occasions.get(home, ())},
            living=frozenset(each.pk for each in living.get(home, ())),
            rows=rows.get(home, ()),
        )


def _by_home(
    found: Iterable[Row], of: Callable[[Any], int] = attrgetter("household_id")
) -> dict[int, list[Row]]:
    by_home: dict[int, list[Row]] = defaultdict(list)
    for row in found:
        by_home[of(row)].append(row)
    return dict(by_home)


def _prepare(home: Home, today: date, horizon: date, now: datetime) -> int:
    wanted = {_key(lead): lead for lead in _wanted(home, today, horizon)}
    for row in home.rows:
        lead = wanted.get((row.occasion_id, row.job_id, row.year))
        if lead is None:
            _let_go(row, today, now)
        elif row.task.state in (State.OPEN, State.LAPSED):
            _follow(row, lead, home, now)
    new = [lead for lead in wanted.values() if lead.written is None]
    for lead in new:
        _write(lead, home, now)
    return len(new)


def _wanted(home: Home, today: date, horizon: date) -> list[Lead]:
    """Lead jobs of occasions still to come whose window has opened by the horizon.

    What should have been done before today, while the occasion is still ahead, is for today:
    after a downtime, or when an occasion was added late.
    """
    until = date.fromordinal(horizon.toordinal() + home.jobs.reach)
    days = [
        Coming(each, falls)
        for each in home.occasions
        for falls in between(each.as_rule(), today, until, home.leap)
    ]
    known = {(row.occasion_id, row.job_id, row.year): row for row in home.rows}
    leads = queries.leads(days, home.jobs, known)
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


def _write(lead: Lead, home: Home, now: datetime) -> None:
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
    hide(task, queries.kept_from(job, home.about[occasion.pk], home.living))
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


def _follow(row: LeadTask, lead: Lead, home: Home, now: datetime) -> None:
    """Let an open task, or one let go before its time, be as its occasion and job are now."""
    task = row.task
    if task.state == State.LAPSED and task.reason != NOT_WANTED:
        return
    _limit(task, lead, home)
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


def _limit(task: Task, lead: Lead, home: Home) -> None:
    hidden = _hidden_from(task)
    limits = _limits(lead)
    if hidden:
        limits["hidden_from"] = hidden
    if (task.limits or {}) != limits:
        task.limits = limits or None
        Task.objects.filter(pk=task.pk).update(limits=task.limits)
    hide(task, queries.kept_from(lead.job, home.about[lead.occasion.pk], home.living))


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

"""What people do with occasions: add, change, put away, bring back, and edit their lead jobs.

Every change lets the tasks of the lead jobs follow at once (`preparing`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import F

from household.calc.occasions import Leap
from household.chores.horizon import horizon_of
from household.kit.errors import NotAllowed, Refused
from household.kit.writing import writes
from household.occasions import queries
from household.occasions.days import forget
from household.occasions.models import LeadJob, Occasion, OccasionSettings
from household.occasions.preparing import prepare
from household.occasions.sets import SETS
from household.people.actions import touch_household
from household.people.models import Household, Member, Role

MOST_JOBS = 12


@dataclass(frozen=True, slots=True)
class Wanted:
    """An occasion as somebody wants it: column values, and the members whom it concerns."""

    fields: Mapping[str, Any]
    concerns: Sequence[Member] = ()


@writes
def add_occasion(
    *, household: Household, actor: Member, wanted: Wanted, now: datetime, key: UUID | None = None
) -> Occasion:
    """Add an occasion and write what is to be done for it. Sent again, it adds nothing."""
    if key is not None:
        before = Occasion.objects.filter(household=household, key=key).first()
        if before is not None:
            return before
    ensure_sets(household=household)
    occasion = _add(household, actor, wanted, now, key)
    _follow(household, now)
    return occasion


@writes
def add_occasions(
    *, household: Household, actor: Member, rows: Iterable[Wanted], now: datetime
) -> list[Occasion]:
    """Add a whole list; what is there already by name and date is left out."""
    ensure_sets(household=household)
    known = set(
        Occasion.objects.filter(household=household, archived_at=None).values_list(
            "name", "sort", "month", "day"
        )
    )
    added = []
    for wanted in rows:
        same = tuple(wanted.fields.get(name) for name in ("name", "sort", "month", "day"))
        if same not in known:
            known.add(same)  # type: ignore[arg-type]
            added.append(_add(household, actor, wanted, now, None))
    _follow(household, now)
    return added


def _add(
    household: Household, actor: Member, wanted: Wanted, now: datetime, key: UUID | None
) -> Occasion:
    occasion = Occasion.objects.create(
        household=household,
        added_by=actor,
        created_at=now,
        changed_at=now,
        key=key,
        **wanted.fields,
    )
    occasion.concerns.set(wanted.concerns)
    return occasion


@writes
def change_occasion(*, occasion: Occasion, actor: Member, wanted: Wanted, now: datetime) -> None:
    """Change an occasion; its open tasks move with it."""
    must_be_theirs(occasion, actor)
    for name, value in wanted.fields.items():
        setattr(occasion, name, value)
    _save(occasion, now, *wanted.fields)
    occasion.concerns.set(wanted.concerns)
    _follow(occasion.household, now)


def must_be_theirs(occasion: Occasion, actor: Member) -> None:
    if not may_change(occasion, actor):
        raise NotAllowed("Only a grown-up, or whoever added it, can change that.")


def may_change(occasion: Occasion, member: Member) -> bool:
    """A child changes what it added itself, and nothing else."""
    return member.role != Role.CHILD or occasion.added_by_id == member.pk


@writes
def archive_occasion(*, occasion: Occasion, actor: Member, now: datetime) -> None:
    """Put it away: its open tasks are let go, its gifts and history stay."""
    must_be_theirs(occasion, actor)
    if occasion.archived_at is None:
        occasion.archived_at = now
        _save(occasion, now, "archived_at")
        _follow(occasion.household, now)


@writes
def restore_occasion(*, occasion: Occasion, actor: Member, now: datetime) -> None:
    must_be_theirs(occasion, actor)
    if occasion.archived_at is not None:
        occasion.archived_at = None
        _save(occasion, now, "archived_at")
        _follow(occasion.household, now)


def _save(occasion: Occasion, now: datetime, *names: str) -> None:
    occasion.changed_at = now
    values = {name: getattr(occasion, name) for name in names}
    Occasion.objects.filter(pk=occasion.pk).update(
        **values, changed_at=now, sequence=F("sequence") + 1
    )


def _follow(household: Household, now: datetime) -> None:
    today = household.today(now)
    prepare(households=[household.pk], today=today, horizon=horizon_of(today), now=now)
    forget(household.pk)
    touch_household(household.pk)


# The household's own choices ------------------------------------------------------------------


@writes
def ensure_sets(*, household: Household) -> OccasionSettings:
    """Give a household the usual sets of lead jobs, once; what it takes out stays out."""
    settings, new = OccasionSettings.objects.get_or_create(household=household)
    if new:
        LeadJob.objects.bulk_create(
            LeadJob(household=household, kind=kind, **job)
            for kind, jobs in SETS.items()
            for job in jobs
        )
    return settings


@writes
def keep_leap_day(*, household: Household, leap: Leap, now: datetime) -> None:
    """Say where 29 February is kept in a common year; what hangs on it moves."""
    ensure_sets(household=household)
    changed = OccasionSettings.objects.filter(household=household).exclude(leap=leap)
    if changed.update(leap=leap):
        hanging = Occasion.objects.filter(household=household, month=2, day=29)
        hanging.update(changed_at=now, sequence=F("sequence") + 1)
        _follow(household, now)


# Lead jobs -----------------------------------------------------------------------------------


@writes
def add_job(
    *,
    household: Household,
    now: datetime,
    fields: Mapping[str, Any],
    kind: str = "",
    occasion: Occasion | None = None,
) -> LeadJob:
    """Add a lead job to a kind's set, or to one occasion that has lead jobs of its own."""
    ensure_sets(household=household)
    same = LeadJob.objects.filter(household=household, archived_at=None)
    same = same.filter(occasion=occasion) if occasion else same.filter(kind=kind)
    if same.count() >= MOST_JOBS:
        raise Refused(f"{MOST_JOBS} lead jobs are enough. Take one out first.")
    job = LeadJob.objects.create(
        household=household, kind="" if occasion else kind, occasion=occasion, **fields
    )
    _follow(household, now)
    return job


@writes
def change_job(*, job: LeadJob, now: datetime, fields: Mapping[str, Any]) -> None:
    """Change a lead job; tasks that are still open follow."""
    LeadJob.objects.filter(pk=job.pk).update(**fields)
    _follow(job.household, now)


@writes
def archive_job(*, job: LeadJob, now: datetime) -> None:
    LeadJob.objects.filter(pk=job.pk, archived_at=None).update(archived_at=now)
    _follow(job.household, now)


@writes
def restore_job(*, job: LeadJob, now: datetime) -> None:
    LeadJob.objects.filter(pk=job.pk).update(archived_at=None)
    _follow(job.household, now)


@writes
def give_own_jobs(*, occasion: Occasion, actor: Member, now: datetime) -> None:
    """Let an occasion have lead jobs of its own, beginning with those of its kind.

    Tasks that stand already are handed to the copies, so that nothing is written twice.
    """
    must_be_theirs(occasion, actor)
    if occasion.own_jobs:
        return
    earlier = {job.name: job for job in LeadJob.objects.filter(occasion=occasion)}
    for job in queries.jobs_of(occasion.household).by_kind.get(occasion.kind, ()):
        own = earlier.get(job.name) or _copy(job, occasion)
        LeadJob.objects.filter(pk=own.pk).update(archived_at=None)
        taken = own.lead_tasks.values("year")
        job.lead_tasks.filter(occasion=occasion).exclude(year__in=taken).update(job=own)
    occasion.own_jobs = True
    _save(occasion, now, "own_jobs")
    _follow(occasion.household, now)


def _copy(job: LeadJob, occasion: Occasion) -> LeadJob:
    same = (
        "name",
        "days_before",
        "window_days",
        "minutes",
        "work",
        "min_age",
        "may",
        "keeper_id",
        "keep_minutes",
        "private",
    )
    return LeadJob.objects.create(
        household_id=job.household_id,
        occasion=occasion,
        **{name: getattr(job, name) for name in same},
    )


@writes
def drop_own_jobs(*, occasion: Occasion, actor: Member, now: datetime) -> None:
    """Go back to the set of its kind."""
    must_be_theirs(occasion, actor)
    if not occasion.own_jobs:
        return
    usual = queries.jobs_of(occasion.household).by_kind.get(occasion.kind, ())
    by_name = {job.name: job for job in usual}
    for own in LeadJob.objects.filter(occasion=occasion):
        job = by_name.get(own.name)
        if job is not None:
            taken = job.lead_tasks.filter(occasion=occasion).values("year")
            own.lead_tasks.exclude(year__in=taken).update(job=job)
    occasion.own_jobs = False
    _save(occasion, now, "own_jobs")
    _follow(occasion.household, now)


def day_of(occasion: Occasion, today: date) -> date | None:
    """The next day of an occasion, by its household's own choice for 29 February."""
    found = queries.coming([occasion], today, queries.leap_of(occasion.household))
    return found[0].falls.day if found else None

"""Making and changing chores. Every change is an entry; nothing is deleted, only put away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import F

from household.chores.changes import touch, write_entry
from household.chores.making import make_due, rewrite_future
from household.chores.models import Chore, Did, Entry, State, Task
from household.chores.staging import STAGED, calendar_of, restage
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household, Member

# What makes the dates of a chore, or decides who does them: a change of these makes its
# future tasks anew. Everything else is copied onto the tasks that stand.
RHYTHM = (
    "repeat",
    "rule",
    "every",
    "unit",
    "window",
    "months",
    "on_holiday",
    "on_away",
    "starts",
    "time",
    "who",
    "fixed_id",
    "may",
    "min_age",
    "hazards",
    "needs_skill",
)
COPIED = ("name", "area_id", "kind", "level", "minutes")


@writes
def create_chore(
    *, household: Household, actor: Member | None, now: datetime, horizon: date, **fields: Any
) -> Chore:
    """Make a chore and the tasks it has from today to the horizon."""
    chore = Chore(household=household, **fields)
    chore.save()
    write_entry(
        household.pk,
        actor=actor,
        did=Did.ADDED,
        now=now,
        chore=chore,
        area_id=chore.area_id,
        after=_told(chore),
    )
    _make(chore, now, horizon)
    return chore


@writes
def create_chores(
    *,
    household: Household,
    actor: Member | None,
    now: datetime,
    horizon: date,
    rows: Sequence[Mapping[str, Any]],
) -> list[Chore]:
    """Make many chores at once, and all their tasks in one go.

    A row holds a chore's fields; its `next_member_id` comes just before the first turn.
    """
    chores = Chore.objects.bulk_create(Chore(household=household, **row) for row in rows)
    Entry.objects.bulk_create(
        Entry(
            household=household,
            actor=actor,
            did=Did.ADDED,
            at=now,
            chore=chore,
            area_id=chore.area_id,
            after=_told(chore),
        )
        for chore in chores
    )
    touch(household.pk)
    today = household.today(now)
    calendar = calendar_of(household, today)
    for chore in chores:
        restage(chore, calendar, today)
    Chore.objects.bulk_update(chores, STAGED)
    make_due(households=[household.pk], today=today, horizon=horizon, now=now)
    return chores


@writes
def change_chore(
    *, chore: Chore, actor: Member, now: datetime, horizon: date, **fields: Any
) -> Chore:
    """Change a chore. Tasks that nobody touched follow; what was done stays as it was."""
    before = _told(chore)
    old = {name: getattr(chore, name) for name in (*RHYTHM, *COPIED)}
    for name, value in fields.items():
        setattr(chore, name, value)
    after = _told(chore)
    if before == after:
        return chore
    chore.changed_at = now
    chore.save(update_fields=[*fields, "changed_at"])
    changed = {name for name in before if before[name] != after[name]}
    write_entry(
        chore.household_id,
        actor=actor,
        did=Did.CHANGED,
        now=now,
        chore=chore,
        area_id=chore.area_id,
        before={name: before[name] for name in changed},
        after={name: after[name] for name in changed},
    )
    if any(old[name] != getattr(chore, name) for name in COPIED):
        Task.objects.filter(chore=chore, state=State.OPEN).update(
            **{name: getattr(chore, name) for name in COPIED},
            changed_at=now,
        )
    if any(old[name] != getattr(chore, name) for name in RHYTHM):
        _make(chore, now, horizon)
    return chore


@writes
def archive_chore(*, chore: Chore, actor: Member, now: datetime) -> Chore:
    """Put a chore away: its open tasks nobody touched go, the rest of its history stays."""
    if chore.archived_at is not None:
        return chore
    today = chore.household.today(now)
    Task.objects.filter(chore=chore, state=State.OPEN, sequence=0, closes__gte=today).delete()
    Task.objects.filter(chore=chore, state=State.OPEN).update(
        state=State.LAPSED,
        reason="Its chore was put away",
        sequence=F("sequence") + 1,
        changed_at=now,
    )
    chore.archived_at = now
    chore.next_due = chore.next_opens = chore.next_closes = None
    chore.save(update_fields=["archived_at", "next_due", "next_opens", "next_closes"])
    write_entry(
        chore.household_id,
        actor=actor,
        did=Did.ARCHIVED,
        now=now,
        chore=chore,
        area_id=chore.area_id,
    )
    return chore


@writes
def restore_chore(*, chore: Chore, actor: Member, now: datetime, horizon: date) -> Chore:
    """Bring a chore back, with tasks from today on."""
    if chore.archived_at is None:
        return chore
    if chore.area.archived_at is not None:
        raise Refused(f"Bring back the area “{chore.area}” first.")
    chore.archived_at = None
    chore.save(update_fields=["archived_at"])
    write_entry(
        chore.household_id,
        actor=actor,
        did=Did.RESTORED,
        now=now,
        chore=chore,
        area_id=chore.area_id,
    )
    _make(chore, now, horizon)
    return chore


def _make(chore: Chore, now: datetime, horizon: date) -> None:
    household = chore.household
    rewrite_future(
        household=household,
        chores=[chore],
        today=household.today(now),
        horizon=horizon,
        now=now,
    )


def _told(chore: Chore) -> dict[str, Any]:
    """A chore as an entry keeps it: every field that a person sets."""
    names = (
        *COPIED,
        *RHYTHM,
        "how_to",
        "caution",
        "treatment",
        "importance",
        "keeper_id",
        "keep_minutes",
        "missed",
        "grace_days",
    )
    values = {name: getattr(chore, name) for name in names}
    return {
        name: value.isoformat() if hasattr(value, "isoformat") else value
        for name, value in values.items()
    }


@writes
def copy_chore(*, chore: Chore, actor: Member, now: datetime, horizon: date) -> Chore:
    """A new chore like this one, with “(copy)” after its name."""
    own = {
        "id",
        "household",
        "name",
        "created_at",
        "changed_at",
        "archived_at",
        "last_done_on",
        "rhythm",
    }
    fields = {
        field.attname: getattr(chore, field.attname)
        for field in Chore._meta.concrete_fields
        if field.name not in own and not field.name.startswith("next_")
    }
    name = f"{chore.name[:72]} (copy)"
    return create_chore(
        household=chore.household, actor=actor, now=now, horizon=horizon, name=name, **fields
    )

"""Handing over who keeps a chore in mind: notices, plans, decides and checks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from household.chores.changes import earlier, touch
from household.chores.models import Chore, Did, Entry
from household.kit.writing import writes
from household.people.models import Household, Member


@writes
def hand_keeping(
    *,
    household: Household,
    chores: Sequence[Chore],
    to: Member | None,
    actor: Member,
    now: datetime,
    key: UUID | None = None,
) -> list[Entry]:
    """Give the keeping of these chores to a member, or to nobody (None): one entry a chore.

    Chores that are kept so already stay untouched. What was kept so far stays credited to whoever
    kept it: each tick holds its own copy.
    """
    if earlier(household, key):
        return []
    changing = [chore for chore in chores if chore.keeper_id != _id(to)]
    entries = [
        _entry(chore, Did.HANDED, chore.keeper_id, _id(to), actor, now, about=to)
        for chore in changing
    ]
    if entries:
        entries[0].key = key
    return _write(household.pk, entries, [(chore.pk, _id(to)) for chore in changing])


@writes
def take_back(*, entries: Sequence[Entry], actor: Member, now: datetime) -> list[Entry]:
    """Put the keepers back as they were before these entries."""
    if not entries:
        return []
    chores = Chore.objects.in_bulk([entry.chore_id for entry in entries if entry.chore_id])
    undoing, keepers = [], []
    for entry in entries:
        chore = chores[entry.chore_id or 0]
        was = entry.before["keeper_id"]
        undoing.append(_entry(chore, Did.UNDONE, chore.keeper_id, was, actor, now, undoes=entry))
        keepers.append((chore.pk, was))
    return _write(entries[0].household_id, undoing, keepers)


def _entry(
    chore: Chore,
    did: Did,
    was: int | None,
    becomes: int | None,
    actor: Member,
    now: datetime,
    *,
    about: Member | None = None,
    undoes: Entry | None = None,
) -> Entry:
    return Entry(
        household_id=chore.household_id,
        chore=chore,
        area_id=chore.area_id,
        actor=actor,
        about=about,
        did=did,
        at=now,
        undoes=undoes,
        before={"keeper_id": was},
        after={"keeper_id": becomes},
    )


def _write(
    household_id: int, entries: list[Entry], keepers: list[tuple[int, int | None]]
) -> list[Entry]:
    for keeper in {keeper for _, keeper in keepers}:
        ids = [chore for chore, new in keepers if new == keeper]
        Chore.objects.filter(pk__in=ids).update(keeper_id=keeper)
    Entry.objects.bulk_create(entries)
    if entries:
        touch(household_id)
    return entries


def _id(member: Member | None) -> int | None:
    return member.pk if member else None

"""Planning a chore with the minutes it really takes, and taking that back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from household.chores.changes import write_entry
from household.chores.models import Chore, Did, Entry, State, Task
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household, Member

MOST_MINUTES = 1440


@writes
def take_minutes(
    *, household: Household, wanted: Mapping[int, int], actor: Member, now: datetime
) -> list[Entry]:
    """Set the planned minutes of chores, by their ids: one entry each, none where they stand so.

    Open tasks follow, except those that are done more lightly this time.
    """
    if any(not 1 <= minutes <= MOST_MINUTES for minutes in wanted.values()):
        raise Refused(f"Minutes are from 1 to {MOST_MINUTES}.")
    chores = Chore.objects.filter(household=household, pk__in=wanted, archived_at=None)
    return [
        _set(chore, wanted[chore.pk], actor=actor, now=now)
        for chore in chores.order_by("id")
        if chore.minutes != wanted[chore.pk]
    ]


@writes
def give_minutes_back(*, entries: Iterable[Entry], actor: Member, now: datetime) -> list[Entry]:
    """Put the minutes back as they were; what was taken back already stays so.

    What somebody changed since is refused, all or nothing.
    """
    chosen = [
        entry
        for entry in entries
        if entry.did == Did.CHANGED and set(entry.after) == {"minutes"} and entry.chore_id
    ]
    chosen = [entry for entry in chosen if not hasattr(entry, "undone_by")]
    chores = Chore.objects.in_bulk([entry.chore_id for entry in chosen if entry.chore_id])
    if any(chores[entry.chore_id or 0].minutes != entry.after["minutes"] for entry in chosen):
        raise Refused("Somebody has changed it again since. Its page shows what happened.")
    return [
        _set(
            chores[entry.chore_id or 0],
            entry.before["minutes"],
            actor=actor,
            now=now,
            undoes=entry,
        )
        for entry in chosen
    ]


def _set(
    chore: Chore, minutes: int, *, actor: Member, now: datetime, undoes: Entry | None = None
) -> Entry:
    before, chore.minutes, chore.changed_at = chore.minutes, minutes, now
    chore.save(update_fields=["minutes", "changed_at"])
    Task.objects.filter(chore=chore, state=State.OPEN, level=chore.level).update(
        minutes=minutes, changed_at=now
    )
    return write_entry(
        chore.household_id,
        actor=actor,
        did=Did.UNDONE if undoes else Did.CHANGED,
        now=now,
        undoes=undoes,
        chore=chore,
        area_id=chore.area_id,
        before={"minutes": before},
        after={"minutes": minutes},
    )

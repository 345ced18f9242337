"""Settling many overdue tasks at once, and taking such changes back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from household.chores import keeping, ticking
from household.chores.hiding import seen_by
from household.chores.history import undoable
from household.chores.models import Entry, State, Task
from household.chores.queries import with_chore
from household.chores.settling import settle
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household, Member
from household.people.queries import members


@dataclass(frozen=True, slots=True)
class Wish:
    """What a page asked for: this task, by this member, on this day."""

    task: int
    member: int
    day: date


@writes
def settle_as_wished(
    *, household: Household, wishes: Iterable[Wish], actor: Member, now: datetime
) -> list[Entry]:
    """Settle each overdue task as the page showed it; one that is settled already is left alone.

    A page kept overnight still works: what was for yesterday is for today then.
    """
    today = household.today(now)
    wanted = {wish.task: wish for wish in wishes}
    people = {member.pk: member for member in members(household)}
    late = seen_by(with_chore(household), actor).filter(
        pk__in=wanted, state=State.OPEN, closes__lt=today
    )
    entries = []
    for task in late.order_by("closes", "id"):
        wish = wanted[task.pk]
        if wish.member not in people:
            raise Refused("Somebody in this list lives here no longer. Open the page anew.")
        day = max(wish.day, today)
        entry = settle(task=task, to=people[wish.member], day=day, actor=actor, now=now)
        entries += [entry] if entry else []
    return entries


@writes
def take_back(
    *,
    household: Household,
    entries: Iterable[Entry],
    actor: Member,
    now: datetime,
    horizon: date,
) -> list[Entry]:
    """Undo those entries that are still the last word; returns the ones taken back.

    What was taken back already stays so. What somebody changed since is refused, all or nothing:
    undoing it would undo theirs.
    """
    chosen = [entry for entry in entries if not hasattr(entry, "undone_by")]
    last = undoable(chosen)
    if any(entry.pk not in last for entry in chosen):
        raise Refused("Somebody has changed it again since. Its history shows what happened.")
    tasks = with_chore(household).in_bulk([entry.task_id for entry in chosen if entry.task_id])
    for entry in chosen:
        if entry.task_id is not None:
            task: Task = tasks[entry.task_id]
            ticking.undo(task=task, member=actor, now=now, horizon=horizon)
    keeping.take_back(
        entries=[entry for entry in chosen if entry.task_id is None], actor=actor, now=now
    )
    return chosen

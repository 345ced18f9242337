"""Entries as sentences: who did what, when, and what stood before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, tzinfo

from household.areas.models import CareLevel
from household.chores.models import Did, Entry, State
from household.kit.dates import DateWords
from household.kit.words import from_outside


@dataclass(frozen=True, slots=True)
class EntryLine:
    when: str
    who: str
    shape: str
    hue: str
    what: str


def lines(entries: Iterable[Entry], words: DateWords, zone: tzinfo, today: date) -> list[EntryLine]:
    return [
        EntryLine(
            when=words.moment(entry.at, zone, today),
            who=_who(entry),
            shape=entry.actor.shape if entry.actor else "",
            hue=entry.actor.hue if entry.actor else "",
            what=sentence(entry, words),
        )
        for entry in entries
    ]


def _who(entry: Entry) -> str:
    if entry.helper:
        return from_outside(entry.helper)
    return entry.actor.name if entry.actor else "Evenhouse"


def sentence(entry: Entry, words: DateWords) -> str:
    """What happened, without the name of who did it: "skipped it: we were out"."""
    happened = _happened(entry, words)
    return f"{happened} on “{entry.device.label}”" if entry.device else happened


def _happened(entry: Entry, words: DateWords) -> str:
    after = entry.after
    did = Did(entry.did)
    if did == Did.HANDED and "keeper_id" in after:
        return f"handed its keeping to {entry.about.name if entry.about else 'nobody'}"
    if did == Did.HANDED:
        day = f" for {words.day(date.fromisoformat(after['day']))}" if after.get("day") else ""
        to = from_outside(after["helper"]) if after.get("helper") else "anyone"
        return f"handed it to {entry.about.name if entry.about else to}{day}"
    if did == Did.CHANGED and entry.task_id and "level" in after and "minutes" in after:
        level = CareLevel(after["level"]).label.lower()
        return f"made it {level}, {after['minutes']} min"
    if did == Did.CHANGED and not entry.task_id and set(after) == {"minutes"}:
        return f"planned it with {after['minutes']} min instead of {entry.before['minutes']}"
    if did == Did.MOVED and after.get("day"):
        return f"moved it to {words.day(date.fromisoformat(after['day']))}"
    if did == Did.MEASURED:
        return f"said it took {after.get('minutes_taken')} min"
    if did in (Did.SKIPPED, Did.LAPSED) and after.get("reason"):
        return f"{did.label}: {after['reason'][0].lower()}{after['reason'][1:]}"
    return str(did.label)


# What a person does to a task and may want to take back; the rest belongs to the chore's form.
TAKEN_BACK = (
    Did.TICKED,
    Did.SKIPPED,
    Did.MOVED,
    Did.HANDED,
    Did.TAKEN,
    Did.MEASURED,
    Did.CHANGED,
)


def undoable(entries: Iterable[Entry]) -> set[int]:
    """Ids of those entries that are the last word on their task, or on their chore's keeper.

    These are the ones that `ticking.undo` would take back now. Two queries, or none.
    """
    listed = [entry for entry in entries if entry.did in TAKEN_BACK]
    chosen = {entry.pk for entry in listed}
    tasks = {entry.task_id for entry in listed if entry.task_id}
    chores = {
        entry.chore_id
        for entry in listed
        if entry.task_id is None and entry.chore_id and "keeper_id" in entry.before
    }
    return (_last_of_tasks(tasks) | _last_keepings(chores)) & chosen


def _last_of_tasks(tasks: set[int]) -> set[int]:
    if not tasks:
        return set()
    rows = (
        Entry.objects.filter(task__in=tasks, undone_by=None)
        .exclude(did__in=[Did.UNDONE, Did.ADDED])
        .order_by("-at", "-id")
        .values_list("task_id", "id", "before", "task__state")
    )
    last: dict[int | None, int] = {}
    for task, entry, before, state in rows:
        if state == State.OPEN or "state" in before:
            last.setdefault(task, entry)
    return set(last.values())


def _last_keepings(chores: set[int]) -> set[int]:
    if not chores:
        return set()
    rows = (
        Entry.objects.filter(chore__in=chores, task=None, undone_by=None, did=Did.HANDED)
        .order_by("-at", "-id")
        .values_list("chore_id", "id", "after", "chore__keeper_id")
    )
    last: dict[int | None, int] = {}
    for chore, entry, after, keeper in rows:
        # A chore's form changes the keeper too: then there is nothing to put back.
        if after.get("keeper_id") == keeper:
            last.setdefault(chore, entry)
    return set(last.values())

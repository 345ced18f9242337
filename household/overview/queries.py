"""Reading the household's history, and who keeps what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from household.chores.hiding import entries_seen_by
from household.chores.history import lines, undoable
from household.chores.models import Chore, Did, Entry
from household.kit.dates import DateWords
from household.people.models import Household, Member, Role

# After a fortnight an undo surprises more than it helps; the list itself goes back for ever.
UNDO_WITHIN = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One entry: what it is about, who did what, and its number where it may be taken back."""

    when: str
    thing: str
    url: str
    area: str
    who: str
    shape: str
    hue: str
    what: str
    entry: int | None


@dataclass(frozen=True, slots=True)
class Keeper:
    """A member (or nobody, with None) and the chores they keep in mind."""

    member: Member | None
    chores: tuple[Chore, ...]


def entries(
    household: Household,
    viewer: Member,
    *,
    member: Member | None = None,
    area: Any = None,
    chore: Any = None,
    did: str = "",
) -> QuerySet[Entry]:
    """What happened, newest first; a member's are those they did and those about them."""
    found = entries_seen_by(Entry.objects.filter(household=household), viewer)
    if member is not None:
        found = found.filter(Q(actor=member) | Q(about=member))
    if area is not None:
        found = found.filter(area=area)
    if chore is not None:
        found = found.filter(chore=chore)
    if did:
        found = found.filter(did=did)
    return found.order_by("-at", "-id").select_related(
        "actor", "about", "device", "task", "chore", "area"
    )


def history_rows(
    household: Household, page: Sequence[Entry], viewer: Member, now: datetime
) -> list[HistoryRow]:
    """A page of entries as rows; two queries find which of them may still be taken back."""
    last: set[int] = set()
    if viewer.role != Role.CHILD:
        last = undoable(entry for entry in page if now - entry.at <= UNDO_WITHIN)
    words = DateWords(household.date_order)
    told = lines(page, words, household.zone, household.today(now))
    return [
        HistoryRow(
            when=line.when,
            thing=_thing(entry),
            url=_url(household, entry, viewer),
            area=entry.area.name if entry.area else "",
            who=line.who,
            shape=line.shape,
            hue=line.hue,
            what=line.what,
            entry=entry.pk if entry.pk in last else None,
        )
        for entry, line in zip(page, told, strict=True)
    ]


def keepers(household: Household, members: Iterable[Member]) -> list[Keeper]:
    """Every member with the chores they keep, and, last, what nobody keeps. One query."""
    by_keeper: defaultdict[int | None, list[Chore]] = defaultdict(list)
    chores = Chore.objects.filter(household=household, archived_at=None).select_related("area")
    known = {member.pk: member for member in members}
    for chore in chores.order_by("area__position", "area_id", "name", "id"):
        by_keeper[chore.keeper_id if chore.keeper_id in known else None].append(chore)
    found = [Keeper(member, tuple(by_keeper[member.pk])) for member in known.values()]
    if by_keeper[None]:
        found.append(Keeper(None, tuple(by_keeper[None])))
    return found


def _thing(entry: Entry) -> str:
    if entry.task is not None:
        return entry.task.name
    if entry.chore is not None:
        return entry.chore.name
    return entry.area.name if entry.area else ""


def _url(household: Household, entry: Entry, viewer: Member) -> str:
    if entry.task_id:
        return reverse("web:task", args=[household.pk, entry.task_id])
    if entry.chore_id and viewer.role != Role.CHILD:
        return reverse("chores:chore", args=[household.pk, entry.chore_id])
    return ""


KINDS = [
    (did.value, words)
    for did, words in (
        (Did.TICKED, "Ticked"),
        (Did.UNDONE, "Taken back"),
        (Did.SKIPPED, "Skipped"),
        (Did.LAPSED, "Let go"),
        (Did.MOVED, "Moved"),
        (Did.HANDED, "Handed over"),
        (Did.TAKEN, "Taken on"),
        (Did.MEASURED, "How long it took"),
        (Did.ADDED, "Added"),
        (Did.CHANGED, "Changed"),
        (Did.ARCHIVED, "Put away"),
        (Did.RESTORED, "Brought back"),
    )
]

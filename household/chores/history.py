"""Entries as sentences: who did what, when, and what stood before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, tzinfo

from household.chores.models import Did, Entry
from household.kit.dates import DateWords


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
            who=entry.actor.name if entry.actor else "Evenhouse",
            shape=entry.actor.shape if entry.actor else "",
            hue=entry.actor.hue if entry.actor else "",
            what=sentence(entry, words),
        )
        for entry in entries
    ]


def sentence(entry: Entry, words: DateWords) -> str:
    """What happened, without the name of who did it: "skipped it: we were out"."""
    after = entry.after
    did = Did(entry.did)
    if did == Did.HANDED:
        return f"handed it to {entry.about.name if entry.about else 'anyone'}"
    if did == Did.MOVED and after.get("day"):
        return f"moved it to {words.day(date.fromisoformat(after['day']))}"
    if did == Did.MEASURED:
        return f"said it took {after.get('minutes_taken')} min"
    if did in (Did.SKIPPED, Did.LAPSED) and after.get("reason"):
        return f"{did.label}: {after['reason'][0].lower()}{after['reason'][1:]}"
    return str(did.label)

"""What all kinds of feeds say in the same way: titles, names, links, and what is hidden."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time

from household.calc.feed_events import EventFacts
from household.calc.recurrence.zone import attach
from household.feeds.shown import Shown, home_id, sequence_of


class Wording:
    """Puts what a feed shows into events. `noun` stands where titles are hidden: "a task"."""

    def __init__(self, shown: Shown, noun: str) -> None:
        self._shown = shown
        self._noun = noun
        self._home = home_id(shown.household)

    def event(
        self,
        name: str,
        changed_at: datetime,
        changes: int,
        *,
        title: str,
        day: date,
        lines: Iterable[str],
        url: str,
        who: str = "",
        at: time | None = None,
        minutes: int = 0,
        days: int = 1,
        category: str = "",
        done: bool = False,
        done_at: datetime | None = None,
    ) -> EventFacts:
        """The facts of one event. `name` tells it from all others of the household, for good."""
        shown = self._shown
        renamed_at = shown.household.renamed_at
        if renamed_at is not None:
            changed_at = max(changed_at, renamed_at)
        hidden = shown.hide_titles
        noun = self._noun if done else f"{self._noun[:1].upper()}{self._noun[1:]}"
        summary = noun if hidden else title
        if shown.named and who and not hidden:
            summary = f"{summary} ({who})"
        told = [] if hidden else [line for line in lines if line]
        return EventFacts(
            uid=f"{name}@{self._home}.evenhouse",
            changed_at=changed_at,
            sequence=sequence_of(shown.household, changed_at, changes),
            summary=f"Done: {summary}" if done else summary,
            day=day,
            minutes=minutes,
            days=days,
            by=self._moment(day, at),
            description="\n".join([*told, url]),
            category="" if hidden else category,
            url=url,
            done=done,
            done_at=done_at,
        )

    def _moment(self, day: date, at: time | None) -> datetime | None:
        if at is None:
            return None
        zone = self._shown.household.time_zone
        return attach(datetime.combine(day, at), zone).astimezone(UTC)

"""A task as a list shows it: words ready, addresses ready, nothing left for a template to do."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, tzinfo
from functools import lru_cache
from typing import Any

from household.areas.models import CareLevel
from household.calc import dangers, limits
from household.chores.models import State
from household.kit.dates import DateWords

# What a list needs of a task, read as plain values: model objects would cost twice as much.
COLUMNS = (
    "id",
    "name",
    "minutes",
    "opens",
    "closes",
    "day",
    "time",
    "state",
    "done_at",
    "done_on",
    "minutes_taken",
    "reason",
    "level",
    "member_id",
    "member__name",
    "member__shape",
    "member__hue",
    "done_by_id",
    "done_by__name",
    "done_by__shape",
    "done_by__hue",
    "area__name",
    "chore_id",
    "chore__how_to",
    "chore__caution",
    "chore__hazards",
    "chore__may",
    "chore__min_age",
    "chore__needs_skill",
    "chore__treatment",
    "limits",
)
LEVELS = {CareLevel.CLEAN.value: "Clean", CareLevel.DEEP.value: "Deep clean"}


@dataclass(frozen=True, slots=True)
class TaskRow:
    id: int
    name: str
    area: str
    level: str
    minutes: int
    caution_first: str
    caution_rest: str
    state: str
    late_days: int
    since: str
    due_words: str
    time_words: str
    done_words: str
    reason: str
    member_id: int | None
    member: str
    shape: str
    hue: str
    tick_id: str
    url: str
    has_how_to: bool
    day: date | None
    closes: date
    minutes_taken: int | None
    mine: bool
    just_ticked: bool = False

    @property
    def tick_url(self) -> str:
        return f"{self.url}tick/"

    @property
    def undo_url(self) -> str:
        return f"{self.url}undo/"

    @property
    def take_url(self) -> str:
        return f"{self.url}take/"

    @property
    def skip_url(self) -> str:
        return f"{self.url}skip/"

    @property
    def longer_url(self) -> str:
        return f"{self.url}longer/" if self.just_ticked and self.state == State.DONE else ""

    @property
    def shorter_url(self) -> str:
        return f"{self.url}shorter/" if self.just_ticked and self.state == State.DONE else ""

    @property
    def is_pool(self) -> bool:
        return self.member_id is None and self.state == State.OPEN


@dataclass(frozen=True, slots=True)
class RowMaker:
    """Turns value rows (dicts by COLUMNS) into TaskRows for one household and day."""

    base: str  # the address under which tasks live, ending in "/"
    today: date
    zone: tzinfo
    words: DateWords

    def row(self, value: dict[str, Any], *, just_ticked: bool = False) -> TaskRow:
        late = (self.today - value["closes"]).days if value["state"] == State.OPEN else 0
        first, rest = row_caution(value)
        done = value["state"] == State.DONE
        who = "done_by" if done and value["done_by_id"] else "member"
        return TaskRow(
            id=value["id"],
            name=value["name"],
            area=value["area__name"] or "",
            level=LEVELS.get(value["level"], ""),
            minutes=value["minutes"],
            caution_first=first,
            caution_rest=rest,
            state=value["state"],
            late_days=max(late, 0),
            since=self.words.near(value["closes"], self.today) if late > 0 else "",
            due_words=self._due(value),
            time_words=_clock(value["time"]),
            done_words=self._done(value["done_at"]) if done else "",
            reason=value["reason"],
            member_id=value[f"{who}_id"],
            member=value[f"{who}__name"] or "",
            shape=value[f"{who}__shape"] or "",
            hue=value[f"{who}__hue"] or "",
            tick_id=str(uuid.uuid4()),
            url=f"{self.base}{value['id']}/",
            has_how_to=bool(value["chore__how_to"]),
            day=value["day"],
            closes=value["closes"],
            minutes_taken=value["minutes_taken"],
            mine=value[f"{who}_id"] is not None,
            just_ticked=just_ticked,
        )

    def rows(self, values: Iterable[dict[str, Any]]) -> list[TaskRow]:
        return [self.row(value) for value in values]

    def _due(self, value: dict[str, Any]) -> str:
        if value["opens"] == value["closes"]:
            return self.words.near(value["closes"], self.today)
        return f"by {self.words.near(value['closes'], self.today)}"

    def _done(self, at: datetime | None) -> str:
        return f"Done at {self.words.moment(at, self.zone, self.today)}" if at else "Done"


def _clock(at: time | None) -> str:
    return f"by {at:%H:%M}" if at else ""


def row_caution(value: dict[str, Any]) -> tuple[str, str]:
    """The caution of a value row: its chore's, or that of its own limits."""
    own = value["limits"]
    if own and own.get("dangers"):
        return dangers.cautions(own["dangers"])[0]
    return caution(value["chore__caution"] or "", tuple(value["chore__hazards"] or ()))


@lru_cache(maxsize=512)
def caution(own: str, hazards: tuple[str, ...]) -> tuple[str, str]:
    """The first words (bold) and the rest of what to beware of; ("", "") where nothing is."""
    parts = [own] if own else []
    known = [limits.Hazard(hazard) for hazard in hazards]
    sentences = [f"{each.first} {each.rest}".strip() for each in limits.cautions_for(known)]
    text = " ".join([*parts, *sentences])
    first, stop, rest = text.partition(". ")
    return (first + ("." if stop else ""), rest)

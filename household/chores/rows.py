"""A task as a list shows it: words ready, addresses ready, nothing left for a template to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, tzinfo
from functools import lru_cache
from typing import Any, NamedTuple

from django.utils.safestring import SafeString

from household.areas.models import CareLevel
from household.calc import dangers, limits
from household.chores.models import State, Task
from household.chores.row_html import row_html
from household.kit.dates import DateWords
from household.kit.words import from_outside

# What a list needs of a task, read as plain values: model objects would cost twice as much.
OWN_COLUMNS = (
    "id",
    "name",
    "minutes",
    "opens",
    "closes",
    "day",
    "time",
    "state",
    "done_at",
    "minutes_taken",
    "reason",
    "level",
    "member_id",
    "done_by_id",
    "helper",
    "area__name",
    "chore_id",
    "chore__caution",
    "chore__hazards",
    "chore__may",
    "chore__min_age",
    "chore__needs_skill",
    "limits",
)
MARKS = ("name", "shape", "hue")
PEOPLE_COLUMNS = tuple(f"{who}__{mark}" for who in ("member", "done_by") for mark in MARKS)
COLUMNS = (*OWN_COLUMNS, *PEOPLE_COLUMNS)
PATHS = {column: column.split("__") for column in COLUMNS}
LEVELS = {CareLevel.CLEAN.value: "Clean", CareLevel.DEEP.value: "Deep clean"}


class TaskRow(NamedTuple):
    """One task as a list shows it. A tuple, because a day has many and frozen ones cost twice."""

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
    member: str  # or who from outside has it: a plain square in ink
    shape: str
    hue: str
    url: str
    minutes_taken: int | None
    mine: bool
    helper: str
    just_ticked: bool = False

    @property
    def html(self) -> SafeString:
        """The row as Today shows it."""
        return row_html(self)

    @property
    def is_pool(self) -> bool:
        return self.member_id is None and not self.helper and self.state == State.OPEN


def value_of(task: Task) -> dict[str, Any]:
    """The value row (by COLUMNS) of a task that has been read whole already."""
    return {column: _along(task, path) for column, path in PATHS.items()}


def _along(found: Any, path: list[str]) -> Any:
    for name in path:
        found = getattr(found, name, None)
    return found


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
            member=value[f"{who}__name"] or (value["helper"] and from_outside(value["helper"])),
            shape=value[f"{who}__shape"] or ("square" if value["helper"] else ""),
            hue=value[f"{who}__hue"] or "",
            url=f"{self.base}{value['id']}/",
            minutes_taken=value["minutes_taken"],
            mine=value[f"{who}_id"] is not None,
            helper=value["helper"],
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


def task_caution(task: Task) -> tuple[str, str]:
    """The same for a task whose chore is at hand."""
    if task.chore is not None:
        return caution(task.chore.caution, tuple(task.chore.hazards))
    found = dangers.cautions((task.limits or {}).get("dangers", ()))
    return found[0] if found else ("", "")


@lru_cache(maxsize=512)
def caution(own: str, hazards: tuple[str, ...]) -> tuple[str, str]:
    """The first words (bold) and the rest of what to beware of; ("", "") where nothing is."""
    parts = [own] if own else []
    known = [limits.Hazard(hazard) for hazard in hazards]
    sentences = [f"{each.first} {each.rest}".strip() for each in limits.cautions_for(known)]
    text = " ".join([*parts, *sentences])
    first, stop, rest = text.partition(". ")
    return (first + ("." if stop else ""), rest)

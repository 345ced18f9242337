"""The common areas and chores that a household starts from, read from fixtures/starter.json."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import cache
from typing import Any

from django.conf import settings

from household.calc.recurrence.repeat import Kind, Repeat, Shift, Unit, Window
from household.calc.recurrence.words import sentence
from household.kit.sources import source_words

# Under which question each kind of area stands; whatever is missing here stands in the last.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Living and cooking", ("kitchen", "living_room", "hall", "dining_room", "larder", "study")),
    ("Washing", ("bathroom", "toilet", "utility_room")),
    ("Sleeping", ("bedroom", "child_bedroom", "guest_room")),
    ("Outside and storage", ("garden", "balcony", "garage", "storage")),
    ("Everywhere", ("whole_home",)),
)
_DAY = "(day)"
_BEGINNING = re.compile(r",? (?:the first time )?(?:on|from) \(day\)(?:, with no end date)?")
# What nearly every home has.
USUAL = ("kitchen", "living_room", "bathroom", "bedroom", "whole_home")


@dataclass(frozen=True, slots=True)
class AreaKind:
    kind: str
    name: str
    tidy_days: int
    clean_days: int
    deep_days: int


@dataclass(frozen=True, slots=True)
class Common:
    """One suggestion, in the fixture's own words (fixtures/README.md)."""

    key: str
    area_kind: str
    name: str
    minutes: int
    importance: int
    hazards: tuple[str, ...]
    caution: str
    min_age: str
    source_words: str
    caution_words: str
    only_if: str
    for_age: str
    like: str
    in_words: str
    missed: str
    repeats: Mapping[str, Any]
    columns: Mapping[str, Any]

    def repeat(self, today: date, week_start: int) -> Repeat:
        """Its rhythm, beginning today."""
        values = self.repeats
        return Repeat(
            kind=Kind(values["kind"]),
            start=today,
            rule=values["rule"] or "",
            every=values["every"] or 0,
            unit=Unit(values["unit"] or Unit.WEEKS),
            window=Window(values["window"]),
            months=frozenset(values["months"] or range(1, 13)),
            on_holiday=Shift(values["on_holiday"]),
            on_away=Shift(values["on_away"]),
            week_start=week_start,
        )

    def rhythm_words(self, repeat: Repeat) -> str:
        """How it repeats, without the day it begins on, which is found when it is added."""
        if self.in_words:
            return self.in_words
        return _BEGINNING.sub("", sentence(repeat, date_words=lambda day: _DAY))

    @property
    def time(self) -> time | None:
        text = self.repeats["time"]
        return time.fromisoformat(text) if text else None


@cache
def area_kinds() -> dict[str, AreaKind]:
    return {each["kind"]: AreaKind(**each) for each in _raw()["areas"]}


def grouped_kinds() -> list[tuple[str, list[AreaKind]]]:
    kinds = dict(area_kinds())
    groups = [
        (title, [kinds.pop(kind) for kind in names if kind in kinds]) for title, names in GROUPS
    ]
    groups[-1][1].extend(kinds.values())
    return groups


@cache
def for_areas() -> dict[str, tuple[Common, ...]]:
    """Suggestions by kind of area."""
    return _by("area_kind", "chores")


@cache
def for_members() -> dict[str, tuple[Common, ...]]:
    """Suggestions by age band."""
    return _by("for_age", "member_chores")


def _by(field: str, table: str) -> dict[str, tuple[Common, ...]]:
    found: dict[str, list[Common]] = {}
    for each in _suggestions(table):
        found.setdefault(getattr(each, field), []).append(each)
    return {value: tuple(rows) for value, rows in found.items()}


def _suggestions(table: str) -> Iterator[Common]:
    for number, each in enumerate(_raw()[table]):
        yield Common(
            key=f"{table[0]}{number}",
            area_kind=each["area_kind"],
            name=each["name"],
            minutes=each["minutes"],
            importance=each.get("importance", 1),
            hazards=tuple(each["hazards"]),
            caution=each["caution"],
            min_age=each["min_age"],
            source_words=source_words(each["source"], each["flag"]),
            caution_words=_caution_words(each),
            only_if=each.get("only_if", ""),
            for_age=each.get("for_age", ""),
            like=each.get("like", ""),
            in_words=each.get("in_words", ""),
            missed=each["missed"],
            repeats=each["repeat"],
            columns={
                "kind": each["kind"],
                "level": each.get("level", "tidy"),
                "treatment": each.get("treatment", "none"),
                "importance": each.get("importance", 1),
                "min_age": each["min_age"],
                "hazards": each["hazards"],
                "caution": each["caution"],
                "missed": each["missed"],
            },
        )


def _caution_words(each: Mapping[str, Any]) -> str:
    if "caution_source" not in each:
        return ""
    words = source_words(each["caution_source"], each["caution_flag"])
    return words.replace("Source:", "For the caution:", 1)


@cache
def _raw() -> dict[str, list[dict[str, Any]]]:
    path = settings.BASE_DIR / "fixtures" / "starter.json"
    found: dict[str, list[dict[str, Any]]] = json.loads(path.read_text(encoding="utf-8"))
    return found

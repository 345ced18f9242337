"""Upkeep chores for the register, from the intervals in fixtures/starter.json and their sources."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings

from household.calc.recurrence.repeat import Kind
from household.kit.sources import source_words

# Upkeep that belongs to no appliance or installation.
NOT_KEPT = {"kitchen tea towels", "toothbrush", "bed linen", "pillows"}


@dataclass(frozen=True, slots=True)
class Service:
    """One suggested chore. `columns` are a chore's own fields, its rhythm among them."""

    key: str
    name: str
    minutes: int
    source_words: str
    columns: Mapping[str, Any]
    repeat: Mapping[str, Any]


@cache
def services() -> dict[str, tuple[Service, ...]]:
    """Suggestions by kind of appliance ("smoke alarm"), in the fixture's order."""
    path = settings.BASE_DIR / "fixtures" / "starter.json"
    found: dict[str, list[Service]] = {}
    for each in json.loads(path.read_text(encoding="utf-8"))["chores"]:
        kind, slash, _ = each.get("basis", "").partition(" / ")
        if slash and kind not in NOT_KEPT:
            found.setdefault(kind, []).append(_service(each))
    return {kind: tuple(rows) for kind, rows in found.items()}


def kinds() -> list[tuple[str, str]]:
    """Choices: the kinds that upkeep is known for, with a capital letter."""
    names = sorted(services(), key=str.casefold)
    return [(name, f"{name[0].upper()}{name[1:]}") for name in names]


def _service(each: Mapping[str, Any]) -> Service:
    repeat = each["repeat"]
    after_done = repeat["kind"] == Kind.AFTER_DONE
    columns = {
        name: each[name]
        for name in ("kind", "level", "treatment", "minutes", "importance", "min_age", "hazards")
    }
    columns |= {
        "caution": each["caution"],
        "missed": each["missed"],
        "repeat": repeat["kind"],
        "rule": repeat["rule"] or "",
        "every": repeat["every"] if after_done else 1,
        "window": repeat["window"],
        "months": repeat["months"] or [],
        "on_holiday": repeat["on_holiday"],
        "on_away": repeat["on_away"],
        **({"unit": repeat["unit"]} if after_done else {}),
    }
    return Service(
        key=each["basis"],
        name=each["name"],
        minutes=each["minutes"],
        source_words=source_words(each["source"], each["flag"]),
        columns=columns,
        repeat=repeat,
    )

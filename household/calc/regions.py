"""What a country usually does: its week, paper, units, date order, zones and language.

Every answer is a default that a household may change. The tables are in data/regions.json,
with their sources and versions; country names and time zones are read from IANA tzdata.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias, cast

Paper: TypeAlias = Literal["A4", "Letter"]
Units: TypeAlias = Literal["metric", "US", "UK"]
DateOrder: TypeAlias = Literal["dmy", "mdy", "ymd"]

WORLD = "001"  # UN M49 code of the world, as CLDR uses it
_DAYS = {"mon": 0, "tue": 1, "wed": 2, "thu": 3, "fri": 4, "sat": 5, "sun": 6}


@dataclass(frozen=True, slots=True)
class Region:
    """The defaults of one country.

    code: ISO 3166 alpha-2, or "001" for the world. first_day and weekend: 0 is Monday.
    language: a BCP 47 tag. zones: IANA names, the main one first; empty for the world.
    """

    code: str
    name: str
    first_day: int
    weekend: frozenset[int]
    paper: Paper
    units: Units
    date_order: DateOrder
    language: str
    zones: tuple[str, ...]

    @property
    def zone(self) -> str:
        """The zone to offer first; UTC where none is known."""
        return self.zones[0] if self.zones else "UTC"


@cache
def region(code: str) -> Region:
    """The defaults for an ISO 3166 country code; an unknown code gets the world's."""
    wanted = code.strip().upper()
    name = _names().get(wanted)
    if name is None:
        wanted, name = WORLD, "World"
    weekend = _look_up("weekend", wanted, "sat sun")
    language = _look_up("language", wanted, "en")
    return Region(
        code=wanted,
        name=name,
        first_day=_DAYS[_look_up("first_day", wanted, "mon")],
        weekend=frozenset(_DAYS[day] for day in weekend.split()),
        paper=cast(Paper, _look_up("paper", wanted, "A4")),
        units=cast(Units, _look_up("units", wanted, "metric")),
        date_order=cast(DateOrder, _look_up("date_order", wanted, "ymd")),
        language=language if wanted == WORLD else f"{language}-{wanted}",
        zones=tuple(zones(wanted)),
    )


def countries() -> list[tuple[str, str]]:
    """(code, English name) of every country, in the order of the names."""
    return sorted(_names().items(), key=lambda pair: (pair[1].casefold(), pair[0]))


def zones(code: str) -> list[str]:
    """IANA time zones of a country, the main one first; none for an unknown code."""
    wanted = code.strip().upper()
    found = _zones().get(wanted, ())
    main = _raw()["main_zone"].get(wanted)
    return sorted(found, key=lambda zone: zone != main)


def _look_up(table: str, code: str, otherwise: str) -> str:
    return _tables()[table].get(code, otherwise)


@cache
def _raw() -> dict[str, dict[str, str]]:
    text = files(__package__).joinpath("data", "regions.json").read_text(encoding="utf-8")
    return cast(dict[str, dict[str, str]], json.loads(text))


@cache
def _tables() -> dict[str, dict[str, str]]:
    """The file lists codes under each value; here each code leads to its value."""
    return {
        table: {code: value for value, codes in groups.items() for code in codes.split()}
        for table, groups in _raw().items()
        if table not in ("sources", "main_zone")
    }


def _rows(table: str) -> Iterator[list[str]]:
    """Fields of a tab-separated table of the tzdata package, without its comments."""
    text = files("tzdata").joinpath("zoneinfo", table).read_text(encoding="utf-8")
    return (line.split("\t") for line in text.splitlines() if line and not line.startswith("#"))


@cache
def _names() -> dict[str, str]:
    return {fields[0]: fields[1] for fields in _rows("iso3166.tab")}


@cache
def _zones() -> dict[str, tuple[str, ...]]:
    # zone.tab and not zone1970.tab: its names are those of the country itself (Europe/Oslo),
    # where the other names the largest place that has kept the same clock since 1970.
    found: dict[str, list[str]] = {}
    for fields in _rows("zone.tab"):
        found.setdefault(fields[0], []).append(fields[2])
    return {code: tuple(names) for code, names in found.items()}

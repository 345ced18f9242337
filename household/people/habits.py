"""A household's habits: what its country usually does, and what the household made of it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.conf import settings

from household.calc import regions


@dataclass(frozen=True, slots=True)
class Habits:
    """The fields of a household that a person may set, in their columns' own values."""

    name: str
    country: str
    subdivision: str
    time_zone: str
    language: str
    first_weekday: int
    date_order: str
    units: str
    paper: str

    def as_fields(self) -> dict[str, Any]:
        return asdict(self)


def usual_habits(name: str, country: str) -> Habits:
    """The habits of a household of this name in a country, as a start."""
    region = regions.region(country)
    return Habits(
        name=name,
        country=country,
        subdivision="",
        time_zone=region.zone,
        language=_language(region),
        first_weekday=region.first_day,
        date_order=region.date_order,
        units=region.units,
        paper=region.paper,
    )


def _language(region: regions.Region) -> str:
    """The country's own language where the hub speaks it, else the English with its dates."""
    known = [code for code, _ in settings.LANGUAGES]
    if region.language.lower() in known:
        return region.language.lower()
    return "en-us" if region.date_order == "mdy" else "en-gb"

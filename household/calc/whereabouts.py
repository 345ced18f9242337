"""The country and the language that a browser lets us guess. A person confirms or changes them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files

from household.calc import regions


def country_of_zone(zone: str) -> str:
    """The ISO 3166 code of an IANA zone's country, "" where there is none (UTC).

    Old names lead to the new one (Asia/Calcutta to Asia/Kolkata), as browsers still send them.
    Source: zone.tab and the links of the tzdata package.
    """
    found = _countries()
    return found.get(zone) or found.get(_links().get(zone, ""), "")


def accepted(header: str) -> list[str]:
    """The language tags of an Accept-Language header, best first (RFC 9110, 12.5.4).

    What is not wanted (q=0), "*" and what cannot be read is left out.
    """
    weighed = []
    for place, part in enumerate(header.split(",")):
        tag, _, weight = part.strip().partition(";")
        quality = _quality(weight)
        if quality > 0 and tag.strip() not in ("", "*"):
            weighed.append((-quality, place, tag.strip()))
    return [tag for *_, tag in sorted(weighed)]


def country_of_languages(tags: Iterable[str]) -> str:
    """The first country that a tag names (nb-NO), else the only one that speaks a tag's language
    or has its code (de: DE); "" where no tag tells anything."""
    known = {code for code, _ in regions.countries()}
    for tag in tags:
        parts = tag.upper().replace("_", "-").split("-")
        named = [part for part in parts[1:] if part in known]
        if named:
            return named[-1]
        speak = _speakers().get(parts[0].lower(), ())
        if len(speak) == 1 or parts[0] in speak:
            return parts[0] if parts[0] in speak else speak[0]
    return ""


def language_for(tags: Iterable[str], spoken: Sequence[str], usual: str) -> str:
    """The best language of those that the hub speaks: the first tag's own, in its country's
    kind (`usual`) where that is the same language, else as the tag says it; else `usual`."""
    for tag in tags:
        primary = tag.lower().replace("_", "-").partition("-")[0]
        fitting = [each for each in spoken if each.partition("-")[0] == primary]
        if usual in fitting:
            return usual
        if fitting:
            return tag.lower() if tag.lower() in fitting else fitting[0]
    return usual


def _quality(weight: str) -> float:
    name, _, value = weight.strip().partition("=")
    if name.strip().lower() != "q":
        return 1.0
    try:
        return float(value)
    except ValueError:
        return 0.0


@cache
def _countries() -> dict[str, str]:
    return {zone: code for code, _ in regions.countries() for zone in regions.zones(code)}


@cache
def _speakers() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for code, _ in regions.countries():
        found.setdefault(regions.region(code).language.partition("-")[0].lower(), []).append(code)
    return {language: tuple(codes) for language, codes in found.items()}


@cache
def _links() -> dict[str, str]:
    """Old name to new name: the L lines of tzdata.zi."""
    text = files("tzdata").joinpath("zoneinfo", "tzdata.zi").read_text(encoding="utf-8")
    lines = (line.split() for line in text.splitlines() if line.startswith("L "))
    return {fields[2]: fields[1] for fields in lines}

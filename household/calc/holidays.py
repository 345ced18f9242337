"""Public holidays of a country or one of its parts, and the date of Easter.

A thin cover over the `holidays` library, imported only when a holiday is asked for, since
reading it in takes a while. Its dates are as good as its release: a government may add a day
at short notice, and dates that hang on the sighting of the moon are marked as estimated.
"""

from datetime import date
from functools import cache, lru_cache

from dateutil import easter as _easter


def public_holidays(
    country: str, subdivision: str | None, first: date, last: date
) -> dict[date, str]:
    """Names by day from `first` to `last`, both included, in the order of the days.

    country: ISO 3166 alpha-2. subdivision: the part after the hyphen in ISO 3166-2, or None
    for what holds in the whole country; an unknown part is treated as None. Days off in place
    of a holiday at a weekend are included. Names are English where the library has them,
    and two on one day are joined by a semicolon. An unknown country has none; before 1900 and
    after 2100 the library may know none.
    """
    code = country.strip().upper()
    parts = supported().get(code)
    if parts is None:
        return {}
    part = (subdivision or "").strip().upper() or None
    if part not in parts:
        part = None
    days: dict[date, str] = {}
    for year in range(first.year, last.year + 1):
        days.update((day, name) for day, name in _of_year(code, part, year) if first <= day <= last)
    return days


@cache
def supported() -> dict[str, tuple[str, ...]]:
    """Country codes, each with the codes of its parts that have holidays of their own."""
    import holidays

    listed = holidays.list_supported_countries(include_aliases=False)
    return {code: tuple(parts) for code, parts in sorted(listed.items())}


@cache
def part_names(country: str) -> dict[str, str]:
    """The parts of a country that have holidays of their own: names by code, in their order.

    A part whose name the library does not know goes by its code.
    """
    import holidays

    code = country.strip().upper()
    parts = supported().get(code, ())
    if not parts:
        return {}
    aliases = holidays.country_holidays(code).subdivisions_aliases
    names = {part: name for name, part in aliases.items()}
    return dict(
        sorted(
            ((part, names.get(part, part)) for part in parts),
            key=lambda pair: (pair[1].casefold(), pair[0]),
        )
    )


def easter_sunday(year: int, *, orthodox: bool = False) -> date:
    """Easter Sunday in the Gregorian calendar, of the Western or the Orthodox churches.

    Source: python-dateutil. Years from 1583 on; an earlier one raises ValueError.
    """
    if year < 1583:
        raise ValueError("The Gregorian Easter begins in 1583.")
    if orthodox:
        return _easter.easter(year, _easter.EASTER_ORTHODOX)
    return _easter.easter(year, _easter.EASTER_WESTERN)


@lru_cache(maxsize=256)
def _of_year(country: str, part: str | None, year: int) -> tuple[tuple[date, str], ...]:
    import holidays

    calendar = holidays.country_holidays(
        country, subdiv=part, language=_english(country), expand=False, years=year
    )
    return tuple(sorted(calendar.items()))


@cache
def _english(country: str) -> str | None:
    """The library's English for a country: its own where it has one; None where it has none."""
    import holidays

    calendar = holidays.country_holidays(country)
    own = calendar.default_language or ""
    known = [own, *calendar.supported_languages]
    return next((tag for tag in known if tag == "en" or tag.startswith("en_")), None)

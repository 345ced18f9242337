"""Guessing the country from a browser."""

import pytest

from household.calc import regions
from household.calc.whereabouts import (
    accepted,
    country_of_languages,
    country_of_zone,
    language_for,
)

SPOKEN = ["en-gb", "en-us"]


def test_every_zone_of_the_table_leads_to_its_country() -> None:
    # IANA tzdata, zone.tab: each zone stands there once, with its country.
    for code, _ in regions.countries():
        for zone in regions.zones(code):
            assert country_of_zone(zone) == code


@pytest.mark.parametrize(
    ("zone", "country"),
    [
        # IANA tzdata, file "backward": old names that are links.
        ("Asia/Calcutta", "IN"),
        ("Europe/Kiev", "UA"),
        ("US/Pacific", "US"),
        ("UTC", ""),
        ("Nowhere/At_all", ""),
        ("", ""),
    ],
)
def test_old_names_lead_to_the_country_too(zone: str, country: str) -> None:
    assert country_of_zone(zone) == country


@pytest.mark.parametrize(
    ("header", "tags"),
    [
        # RFC 9110, 12.5.4: the first is the RFC's own example.
        ("da, en-gb;q=0.8, en;q=0.7", ["da", "en-gb", "en"]),
        ("fr;q=0.2, de-AT, *;q=0.1, it;q=0", ["de-AT", "fr"]),
        ("en;q=nonsense, nb", ["nb"]),
        ("", []),
    ],
)
def test_languages_come_best_first(header: str, tags: list[str]) -> None:
    assert accepted(header) == tags


@pytest.mark.parametrize(
    ("tags", "country"),
    [
        (["nb-NO", "en"], "NO"),
        (["en", "en-AU"], "AU"),
        (["zh-Hant-TW"], "TW"),
        (["ja"], "JP"),
        (["de"], "DE"),
        (["en"], ""),
        ([], ""),
    ],
)
def test_a_language_may_tell_the_country(tags: list[str], country: str) -> None:
    assert country_of_languages(tags) == country


@pytest.mark.parametrize(
    ("tags", "usual", "language"),
    [
        (["nb-NO", "en-US"], "en-gb", "en-gb"),
        (["en-US"], "en-gb", "en-gb"),
        (["ja"], "en-us", "en-us"),
        ([], "en-gb", "en-gb"),
    ],
)
def test_the_language_is_one_that_the_hub_speaks(
    tags: list[str], usual: str, language: str
) -> None:
    assert language_for(tags, SPOKEN, usual) == language


def test_a_language_of_its_own_beats_the_countrys() -> None:
    assert language_for(["de-AT"], [*SPOKEN, "de"], "en-gb") == "de"
    assert language_for(["de-AT"], [*SPOKEN, "de", "de-at"], "de") == "de"

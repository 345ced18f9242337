"""Defaults of countries, against Unicode CLDR 48.2 and the tzdata in use."""

import csv
import json
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from household.calc.regions import countries, region, zones

DATA = Path(__file__).parent.parent / "data"
DAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
# CLDR also lists the world, a country that is no more, and a code outside ISO 3166.
NOT_ISO = {"001", "AN", "XK"}


def cldr_weeks() -> dict[str, dict[str, str]]:
    with (DATA / "cldr_week.csv").open(encoding="utf-8", newline="") as file:
        return {row["territory"]: row for row in csv.DictReader(file)}


def cldr_measures() -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = json.loads(
        (DATA / "cldr_measurement.json").read_text(encoding="utf-8")
    )
    return found


def test_every_country_has_the_week_that_cldr_gives() -> None:
    # Unicode CLDR 48.2, supplemental weekData.
    weeks = cldr_weeks()
    codes = {code for code, _ in countries()}
    assert weeks.keys() - codes == NOT_ISO
    for code in codes:
        row = weeks.get(code, weeks["001"])
        found = region(code)
        assert found.first_day == DAYS.index(row["first_day_cldr48"]), code
        ends = {DAYS.index(row["weekend_start"]), DAYS.index(row["weekend_end"])}
        assert found.weekend == ends, code


def test_every_country_has_the_paper_and_units_that_cldr_gives() -> None:
    # Unicode CLDR 48.2, supplemental measurementData.
    measures = cldr_measures()
    for code, _ in countries():
        paper = measures["paperSize"].get(code, measures["paperSize"]["001"])
        assert region(code).paper == paper.removeprefix("US-"), code
        units = measures["measurementSystem"]
        assert region(code).units == units.get(code, units["001"]), code


def test_an_unknown_code_gets_the_defaults_of_the_world() -> None:
    found = region("QQ")
    assert (found.code, found.name, found.language) == ("001", "World", "en")
    assert found.first_day == 0
    assert found.weekend == {5, 6}
    assert (found.paper, found.units, found.date_order) == ("A4", "metric", "ymd")
    assert (found.zones, found.zone) == ((), "UTC")
    assert region("") == found


def test_a_code_is_read_in_any_case_and_with_spaces() -> None:
    assert region(" de ") == region("DE")


# Order of the short date and likely language: Unicode CLDR 47. Canada, Sweden and Taiwan stand here
# because they differ from their neighbours.
@pytest.mark.parametrize(
    ("code", "order", "language"),
    [
        ("US", "mdy", "en-US"),
        ("PH", "mdy", "fil-PH"),
        ("GB", "dmy", "en-GB"),
        ("DE", "dmy", "de-DE"),
        ("BR", "dmy", "pt-BR"),
        ("CA", "ymd", "en-CA"),
        ("SE", "ymd", "sv-SE"),
        ("JP", "ymd", "ja-JP"),
        ("TW", "ymd", "zh-TW"),
    ],
)
def test_dates_and_language_follow_the_country(code: str, order: str, language: str) -> None:
    assert (region(code).date_order, region(code).language) == (order, language)


def test_every_date_order_is_one_of_the_three() -> None:
    assert {region(code).date_order for code, _ in countries()} == {"dmy", "mdy", "ymd"}


def test_countries_stand_in_the_order_of_their_names() -> None:
    listed = countries()
    names = [name.casefold() for _, name in listed]
    assert names == sorted(names)
    assert len(listed) == 249  # ISO 3166-1 has 249 officially assigned codes
    assert all(region(code).name == name for code, name in listed)


def test_every_zone_can_be_loaded_and_stands_once() -> None:
    for code, _ in countries():
        found = zones(code)
        assert len(found) == len(set(found)), code
        for name in found:
            assert ZoneInfo(name).key == name


def test_only_islands_without_people_have_no_zone() -> None:
    # tzdata's zone.tab leaves out Bouvet Island and Heard Island & McDonald Islands.
    assert {code for code, _ in countries() if not zones(code)} == {"BV", "HM"}


@pytest.mark.parametrize(
    ("code", "first"),
    [
        ("NO", "Europe/Oslo"),  # the country's own name, not Berlin's
        ("AU", "Australia/Sydney"),
        ("BR", "America/Sao_Paulo"),
        ("RU", "Europe/Moscow"),
        ("US", "America/New_York"),
    ],
)
def test_the_zone_where_most_people_live_comes_first(code: str, first: str) -> None:
    assert zones(code)[0] == region(code).zone == first

"""Bands of age and suggested ages, against paediatric bodies' lists."""

import csv
from pathlib import Path

import pytest

from household.calc.ages import AgeBand, suggested_age

DATA = Path(__file__).parent.parent / "data"


def tasks() -> list[dict[str, str]]:
    with (DATA / "child_tasks.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("years", "band"),
    [
        (0, "under_5"),
        (4, "under_5"),
        (5, "5_7"),
        (7, "5_7"),
        (8, "8_11"),
        (11, "8_11"),
        (12, "12_15"),
        (15, "12_15"),
        (16, "16_17"),
        (17, "16_17"),
        (18, "adult"),
        (90, "adult"),
    ],
)
def test_a_band_holds_the_ages_in_its_name(years: int, band: str) -> None:
    assert AgeBand.of_age(years).value == band


def test_bands_are_ordered_by_age_and_not_by_spelling() -> None:
    words = ["under 5", "5 to 7", "8 to 11", "12 to 15", "16 to 17", "adult"]
    by_spelling = sorted(AgeBand, key=str)
    assert [band.words for band in sorted(by_spelling)] == words
    assert AgeBand.ADULT > AgeBand.FROM_16 >= AgeBand.FROM_16 > AgeBand.FROM_8
    assert AgeBand.UNDER_5 < AgeBand.FROM_5 <= AgeBand.FROM_5
    assert max(AgeBand.FROM_8, AgeBand.FROM_12) is AgeBand.FROM_12


def test_a_band_compares_with_its_stored_value() -> None:
    assert AgeBand.FROM_12 > "8_11"
    assert AgeBand("12_15") is AgeBand.FROM_12


# Tasks by age: S. Flais MD FAAP, Ask the Pediatrician (American Academy of Pediatrics), and
# AACAP age advice, both read in reprints; see the file.
@pytest.mark.parametrize("row", tasks(), ids=lambda row: row["task"])
def test_no_chore_is_suggested_to_anybody_younger_than_published(row: dict[str, str]) -> None:
    band = suggested_age(row["task"])
    if band is not None:
        # The same task may stand in both lists: the younger of the two ages is the source's.
        published = [int(other["age_from"]) for other in tasks() if other["task"] == row["task"]]
        assert band.youngest >= min(published)


def test_most_published_tasks_are_known() -> None:
    known = [row["task"] for row in tasks() if suggested_age(row["task"])]
    assert len(known) >= 0.8 * len(tasks())


@pytest.mark.parametrize(
    ("name", "band"),
    [
        ("Make the beds", AgeBand.FROM_5),
        ("Vacuum the hall", AgeBand.FROM_8),
        ("Empty the dishwasher", AgeBand.FROM_12),
        ("Clean the bathroom", AgeBand.FROM_12),
        ("Wipe the kitchen table", AgeBand.FROM_8),  # published from 6, so not for every 5
        ("Make and cook dinner", AgeBand.FROM_12),
        ("Change the sheets and make the beds", AgeBand.FROM_12),  # the older of the two
    ],
)
def test_a_chore_is_recognised_by_its_words(name: str, band: AgeBand) -> None:
    assert suggested_age(name) is band


@pytest.mark.parametrize("name", ["", "Bleed the radiators", "Paint the bedroom"])
def test_nothing_is_suggested_where_nothing_is_published(name: str) -> None:
    assert suggested_age(name) is None

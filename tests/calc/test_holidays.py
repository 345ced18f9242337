"""Public holidays and Easter, against published lists."""

import csv
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

from household.calc.holidays import easter_sunday, public_holidays, supported

DATA = Path(__file__).parent.parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# US Office of Personnel Management for 2023, lists that follow 5 U.S.C. 6103 for 2026, and
# GOV.UK bank holidays 2026 to 2028, each read in a third-party copy; see the file.
@pytest.mark.parametrize(
    "row", rows("holidays_checks.csv"), ids=lambda row: f"{row['territory']} {row['date']}"
)
def test_published_holidays_and_days_in_lieu_are_found(row: dict[str, str]) -> None:
    country, _, part = row["territory"].partition("-")
    day = date.fromisoformat(row["date"])
    assert day in public_holidays(country, part or None, day, day)


@pytest.mark.parametrize("row", rows("easter_dates.csv"), ids=lambda row: row["year"])
def test_easter_falls_on_the_published_sunday(row: dict[str, str]) -> None:
    # OEIS A060958 (F. Ellermann, 2001).
    year = int(row["year"])
    assert easter_sunday(year) == date.fromisoformat(row["western_easter"])
    orthodox = date.fromisoformat(row["orthodox_easter_gregorian"])
    assert easter_sunday(year, orthodox=True) == orthodox


def test_holidays_that_move_with_easter_follow_the_published_dates() -> None:
    # OEIS A060958; Good Friday and Easter Monday are bank holidays in England (GOV.UK),
    # Orthodox Easter Monday is one in Greece (common knowledge, no source).
    for row in rows("easter_dates.csv"):
        first, last = date(int(row["year"]), 1, 1), date(int(row["year"]), 12, 31)
        england = public_holidays("GB", "ENG", first, last)
        assert england[date.fromisoformat(row["good_friday"])] == "Good Friday"
        assert england[date.fromisoformat(row["easter_monday"])] == "Easter Monday"
        orthodox = date.fromisoformat(row["orthodox_easter_gregorian"])
        greece = public_holidays("GR", None, first, last)
        names = greece[orthodox + timedelta(days=1)].split("; ")
        assert "Easter Monday" in names  # beside Labour Day in some years


def test_easter_before_the_gregorian_calendar_is_refused() -> None:
    with pytest.raises(ValueError, match="1583"):
        easter_sunday(1582)


def test_an_unknown_country_has_no_holidays() -> None:
    assert public_holidays("QQ", None, date(2026, 1, 1), date(2026, 12, 31)) == {}
    assert public_holidays("", None, date(2026, 1, 1), date(2026, 12, 31)) == {}


def test_an_unknown_part_gets_the_holidays_of_the_whole_country() -> None:
    year = (date(2026, 1, 1), date(2026, 12, 31))
    assert public_holidays("US", "QQ", *year) == public_holidays("US", None, *year)
    assert len(public_holidays("US", None, *year)) >= 11  # 5 U.S.C. 6103(a) names eleven


def test_a_part_has_its_own_holidays() -> None:
    # Reformation Day in Brandenburg: common knowledge, no source.
    day = date(2026, 10, 31)
    assert public_holidays("DE", "BB", day, day) == {day: "Reformation Day"}
    assert public_holidays("DE", None, day, day) == {}


def test_both_ends_are_included_and_days_stand_in_order() -> None:
    found = public_holidays("GB", "ENG", date(2026, 12, 25), date(2027, 1, 1))
    days = [date(2026, 12, 25), date(2026, 12, 26), date(2026, 12, 28), date(2027, 1, 1)]
    assert list(found) == days


def test_a_window_that_ends_before_it_begins_is_empty() -> None:
    assert public_holidays("GB", "ENG", date(2026, 12, 31), date(2026, 1, 1)) == {}


def test_a_day_off_may_fall_in_the_year_before_its_holiday() -> None:
    # 1 January 2028 is a Saturday; 5 U.S.C. 6103(b) moves the day off to the Friday before.
    day = date(2027, 12, 31)
    assert day in public_holidays("US", None, day, day)


def test_supported_countries_carry_their_parts() -> None:
    found = supported()
    assert found["GB"] == ("ENG", "NIR", "SCT", "WLS")  # ISO 3166-2:GB
    assert all(len(code) == 2 for code in found)
    assert "GBR" not in found


def test_the_library_is_read_in_only_when_asked_for() -> None:
    program = "import sys; import household.calc.holidays; sys.exit('holidays' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0

"""Days that come round once a year, against published dates and a second library."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

import holidays
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.occasions import (
    DayRule,
    Falls,
    Leap,
    Off,
    Side,
    Sort,
    between,
    in_year,
    is_date,
    lead_window,
    next_on,
)

DATA = Path(__file__).parent.parent / "data"
MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY, SUNDAY = range(7)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def nth(number: int, weekday: int, month: int) -> DayRule:
    return DayRule(sort=Sort.NTH, nth=number, weekday=weekday, month=month)


# Feasts that move with Easter ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "offset"),
    [("good_friday", -2), ("western_easter", 0), ("easter_monday", 1), ("pentecost", 49)],
)
def test_days_counted_from_easter_fall_on_the_published_dates(column: str, offset: int) -> None:
    # OEIS A060958 (F. Ellermann, 2001).
    rule = DayRule(sort=Sort.EASTER, offset=offset)
    for row in rows("easter_dates.csv"):
        assert in_year(rule, int(row["year"])) == date.fromisoformat(row[column]), row["year"]


def test_the_orthodox_easter_falls_on_the_published_dates() -> None:
    # OEIS A060958 (F. Ellermann, 2001), its column for the Orthodox churches.
    rule = DayRule(sort=Sort.EASTER, orthodox=True)
    for row in rows("easter_dates.csv"):
        wanted = date.fromisoformat(row["orthodox_easter_gregorian"])
        assert in_year(rule, int(row["year"])) == wanted, row["year"]


# The nth weekday of a month, and days off a weekend --------------------------------------------

# The days that 5 U.S.C. 6103(a) gives to the holidays of the United States, and those of
# England and Wales by the Banking and Financial Dealings Act 1971 and royal proclamation.
LAWS = {
    "Birthday of Martin Luther King, Jr.": nth(3, MONDAY, 1),
    "Washington's Birthday": nth(3, MONDAY, 2),
    "Memorial Day": nth(-1, MONDAY, 5),
    "Labor Day": nth(1, MONDAY, 9),
    "Columbus Day": nth(2, MONDAY, 10),
    "Thanksgiving Day": nth(4, THURSDAY, 11),
    "New Year's Day": DayRule(month=1, day=1, off=Off.NEAREST),
    "Juneteenth": DayRule(month=6, day=19, off=Off.NEAREST),
    "Independence Day": DayRule(month=7, day=4, off=Off.NEAREST),
    "Veterans Day": DayRule(month=11, day=11, off=Off.NEAREST),
    "Christmas Day": DayRule(month=12, day=25, off=Off.NEAREST),
}
ENGLAND = {
    "Boxing Day substitute (26 Dec is a Saturday)": DayRule(month=12, day=26, off=Off.MONDAY),
    "Christmas Day substitute": DayRule(month=12, day=25, off=Off.MONDAY),
}


def law_of(row: dict[str, str]) -> DayRule | None:
    if row["territory"] == "US":
        return next((rule for name, rule in LAWS.items() if row["name"].startswith(name)), None)
    return ENGLAND.get(row["name"])


CHECKED = [row for row in rows("holidays_checks.csv") if law_of(row) is not None]


@pytest.mark.parametrize("row", CHECKED, ids=lambda row: f"{row['territory']} {row['date']}")
def test_rules_give_the_published_holidays(row: dict[str, str]) -> None:
    # US Office of Personnel Management 2023, lists after 5 U.S.C. 6103 for 2026, GOV.UK bank
    # holidays: read in third-party copies, see the file.
    rule, day = law_of(row), date.fromisoformat(row["date"])
    assert rule is not None
    assert in_year(rule, day.year) == day


def test_enough_of_the_published_holidays_are_rules_of_these_kinds() -> None:
    assert len(CHECKED) >= 17


def test_nth_weekdays_agree_with_the_holidays_library_for_sixty_years() -> None:
    # A second opinion: holidays (PyPI), US federal holidays.
    years = range(2001, 2061)
    named = holidays.country_holidays("US", years=years)
    for name in ("Labor Day", "Memorial Day", "Columbus Day"):
        wanted = sorted(day for day, words in named.items() if words == name)
        assert [in_year(LAWS[name], year) for year in years] == wanted


def test_a_weekday_on_or_before_a_date_agrees_with_the_library() -> None:
    # Victoria Day is the Monday before 25 May (Holidays Act, R.S.C. 1985, c. H-5).
    rule = DayRule(sort=Sort.NEAR, month=5, day=24, weekday=MONDAY, side=Side.BEFORE)
    years = range(2001, 2061)
    named = holidays.country_holidays("CA", subdiv="ON", years=years)
    wanted = sorted(day for day, words in named.items() if words == "Victoria Day")
    assert [in_year(rule, year) for year in years] == wanted


def test_a_weekday_on_or_after_a_date() -> None:
    # Advent Sunday lies from 27 November to 3 December; dates from memory, needs care.
    advent = DayRule(sort=Sort.NEAR, month=11, day=27, weekday=SUNDAY, side=Side.AFTER)
    assert in_year(advent, 2022) == date(2022, 11, 27)
    assert in_year(advent, 2023) == date(2023, 12, 3)


@pytest.mark.parametrize(
    ("off", "saturday", "sunday"),
    [
        (Off.KEEP, date(2026, 12, 26), date(2027, 12, 26)),
        (Off.MONDAY, date(2026, 12, 28), date(2027, 12, 27)),
        (Off.NEAREST, date(2026, 12, 25), date(2027, 12, 27)),
        (Off.FRIDAY, date(2026, 12, 25), date(2027, 12, 24)),
    ],
)
def test_a_day_is_shifted_off_a_weekend(off: Off, saturday: date, sunday: date) -> None:
    rule = DayRule(month=12, day=26, off=off)
    assert in_year(rule, 2026) == saturday
    assert in_year(rule, 2027) == sunday


def test_a_shift_may_leave_its_own_year() -> None:
    # 1 January 2028 is a Saturday; the day off is the Friday before (5 U.S.C. 6103(b)).
    rule = LAWS["New Year's Day"]
    december = list(between(rule, date(2027, 12, 1), date(2027, 12, 31)))
    assert december == [Falls(2028, date(2027, 12, 31))]
    assert next_on(rule, date(2027, 12, 31)) == Falls(2028, date(2027, 12, 31))


# Birthdays -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("leap", "common"), [(Leap.FEBRUARY, date(2027, 2, 28)), (Leap.MARCH, date(2027, 3, 1))]
)
def test_29_february_is_kept_where_the_household_wants_it(leap: Leap, common: date) -> None:
    born = DayRule(month=2, day=29, year=2016)
    assert in_year(born, 2027, leap) == common
    assert in_year(born, 2028, leap) == date(2028, 2, 29)
    assert next_on(born, common, leap) == Falls(2027, common)


def test_1900_and_2100_have_no_29_february_but_2000_has() -> None:
    born = DayRule(month=2, day=29)
    assert in_year(born, 2000) == date(2000, 2, 29)
    assert in_year(born, 2100) == date(2100, 2, 28)
    assert in_year(born, 1900, Leap.MARCH) == date(1900, 3, 1)


def test_nothing_happens_before_the_year_it_began() -> None:
    born = DayRule(month=5, day=14, year=2018)
    assert in_year(born, 2017) is None
    assert next_on(born, date(2016, 1, 1)) == Falls(2018, date(2018, 5, 14))


def test_what_is_once_is_over_afterwards() -> None:
    concert = DayRule(sort=Sort.ONCE, month=6, day=12, year=2026)
    assert next_on(concert, date(2026, 6, 12)) == Falls(2026, date(2026, 6, 12))
    assert next_on(concert, date(2026, 6, 13)) is None
    assert list(between(concert, date(2020, 1, 1), date(2030, 1, 1))) == [
        Falls(2026, date(2026, 6, 12))
    ]


def test_a_year_without_a_date_is_refused() -> None:
    assert is_date(2, 29)
    assert is_date(2, 29, 2024)
    assert not is_date(2, 29, 2023)
    assert not is_date(4, 31)


# Lead jobs -------------------------------------------------------------------------------------


def test_a_lead_job_is_counted_back() -> None:
    birthday = date(2026, 5, 14)
    assert lead_window(birthday, 10, 5) == (date(2026, 4, 30), date(2026, 5, 4))
    assert lead_window(birthday, 1, 1) == (date(2026, 5, 13), date(2026, 5, 13))
    assert lead_window(birthday, 0, 1) == (birthday, birthday)


def test_counting_back_passes_the_days_on_which_clocks_change() -> None:
    # 29 March and 25 October 2026: the changes of Central European Time (Directive 2000/84/EC).
    assert lead_window(date(2026, 3, 30), 1, 2) == (date(2026, 3, 28), date(2026, 3, 29))
    assert lead_window(date(2026, 10, 26), 1, 2) == (date(2026, 10, 24), date(2026, 10, 25))


# Invariants ------------------------------------------------------------------------------------

RULES = st.builds(
    DayRule,
    sort=st.sampled_from([Sort.YEARLY, Sort.EASTER, Sort.NTH, Sort.NEAR]),
    month=st.integers(1, 12),
    day=st.integers(1, 28),
    offset=st.integers(-100, 200),
    orthodox=st.booleans(),
    nth=st.sampled_from([1, 2, 3, 4, -1]),
    weekday=st.integers(0, 6),
    side=st.sampled_from(Side),
    off=st.sampled_from(Off),
)


@settings(max_examples=60, deadline=None)
@given(rule=RULES, day=st.dates(date(1990, 1, 1), date(2090, 12, 31)))
def test_the_next_day_is_the_first_of_those_between(rule: DayRule, day: date) -> None:
    found = next_on(rule, day)
    assert found is not None
    assert found.day >= day
    assert found == min(between(rule, day, day + timedelta(days=800)), key=lambda each: each.day)


@settings(max_examples=60, deadline=None)
@given(rule=RULES, year=st.integers(1990, 2090))
def test_a_shifted_day_is_a_working_day_near_its_own(rule: DayRule, year: int) -> None:
    found = in_year(rule, year)
    plain = in_year(DayRule(**{**_parts(rule), "off": Off.KEEP}), year)
    assert found is not None and plain is not None
    assert abs((found - plain).days) <= 2
    assert rule.off == Off.KEEP or found.weekday() < SATURDAY


def _parts(rule: DayRule) -> dict[str, object]:
    return {name: getattr(rule, name) for name in DayRule.__dataclass_fields__}

"""Lists of names and dates as people write them, and what is said of lines that are not."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.occasion_lists import MOST_LINES, Listed, read_date, read_list


@pytest.mark.parametrize(
    ("text", "order", "found"),
    [
        # ISO 8601, and the truncated date of vCard (RFC 6350 section 4.3.1)
        ("2015-05-09", "mdy", (2015, 5, 9)),
        ("--05-09", "dmy", (None, 5, 9)),
        ("05-09", "dmy", (None, 5, 9)),
        ("2016-02-29", "dmy", (2016, 2, 29)),
        ("02-29", "dmy", (None, 2, 29)),
        # numbers in the household's own order; points are always day first
        ("9.5.2015", "mdy", (2015, 5, 9)),
        ("9.5.", "dmy", (None, 5, 9)),
        ("9/5/2015", "dmy", (2015, 5, 9)),
        ("9/5/2015", "mdy", (2015, 9, 5)),
        ("5/9", "ymd", (None, 5, 9)),
        ("2015/5/9", "dmy", (2015, 5, 9)),
        # words
        ("9 May 2015", "mdy", (2015, 5, 9)),
        ("9. May", "dmy", (None, 5, 9)),
        ("May 9, 2015", "dmy", (2015, 5, 9)),
        ("Sept 9", "dmy", (None, 9, 9)),
        ("9 dec", "dmy", (None, 12, 9)),
    ],
)
def test_dates_are_read_as_people_write_them(
    text: str, order: str, found: tuple[int | None, int, int]
) -> None:
    assert read_date(text, order) == found


@pytest.mark.parametrize(
    "text",
    [
        "",
        "soon",
        "31.4.2015",
        "2015-02-29",
        "9.5.15",
        "13/13/2015",
        "9 Ma",
        "2015-5",
        "0-0",
        "1066-10-14",
    ],
)
def test_what_is_no_date_is_not_guessed_at(text: str) -> None:
    assert read_date(text) is None


def test_a_list_is_read_line_by_line_with_clear_words_for_the_rest() -> None:
    text = (
        "\ufeffname,date\n# ours\nGreta, 1955-12-19\nPer;25.2.\n\n"
        "Anna\t9 May 2015\nNobody\n,9.5.\nTom,soon\n"
    )
    found = read_list(text)
    assert found.rows == (
        Listed(3, "Greta", 12, 19, 1955),
        Listed(4, "Per", 2, 25, None),
        Listed(6, "Anna", 5, 9, 2015),
    )
    assert [(each.line, each.words) for each in found.unread] == [
        (7, "There is no date after the name. Write: name, date."),
        (8, "There is no name before the date."),
        (9, "“soon” is no date. Write it as 2015-05-09 or 05-09."),
    ]


def test_a_name_in_quotes_may_hold_a_comma_and_a_date_may_too() -> None:
    found = read_list('"Brandt, Ilse",May 9, 1950\n')
    assert found.rows == (Listed(1, "Brandt, Ilse", 5, 9, 1950),)


def test_the_same_twice_is_taken_once() -> None:
    assert len(read_list("Greta,12-19\nGRETA,19.12.\nGreta,12-20").rows) == 2


def test_a_long_list_is_cut_and_says_so() -> None:
    found = read_list("\n".join(f"Person {number},05-09" for number in range(MOST_LINES + 5)))
    assert len(found.rows) == MOST_LINES
    assert found.unread[-1].words == f"Only the first {MOST_LINES} lines were read."


@settings(max_examples=100, deadline=None)
@given(text=st.text(max_size=300))
def test_any_text_is_read_without_a_fall(text: str) -> None:
    found = read_list(text)
    assert all(row.name and 1 <= row.month <= 12 and 1 <= row.day <= 31 for row in found.rows)


@settings(max_examples=60, deadline=None)
@given(
    day=st.dates(date(1800, 1, 1), date(2200, 12, 31)),
    name=st.text(st.characters(categories=["L"]), min_size=1, max_size=20),
)
def test_what_is_written_in_iso_comes_back(day: date, name: str) -> None:
    [row] = read_list(f"{name},{day.isoformat()}").rows
    assert (row.name, row.year, row.month, row.day) == (name, day.year, day.month, day.day)

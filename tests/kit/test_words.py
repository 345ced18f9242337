"""Amounts of time in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from household.kit import words

SPACE = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [(0, "0 min"), (45, "45 min"), (60, "1 h 00"), (210, "3 h 30"), (1110, "18 h 30")],
)
def test_durations_read_as_on_a_timetable(minutes: int, expected: str) -> None:
    assert words.duration(minutes) == expected.replace(" ", SPACE)


@pytest.mark.parametrize(
    ("minutes", "expected"), [(210, "+3 h 30"), (-45, "−45 min"), (0, "0 min"), (-120, "−2 h 00")]
)
def test_over_and_under_carry_a_true_minus_sign(minutes: int, expected: str) -> None:
    assert words.signed_duration(minutes) == expected.replace(" ", SPACE)


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [
        (0, "0 minutes"),
        (1, "1 minute"),
        (60, "1 hour"),
        (61, "1 hour 1 minute"),
        (150, "2 hours 30 minutes"),
    ],
)
def test_spoken_durations_name_their_units(minutes: int, expected: str) -> None:
    assert words.spoken_duration(minutes) == expected


@given(st.integers(min_value=0, max_value=10**6))
def test_no_minute_is_lost_in_words(minutes: int) -> None:
    hours, _, rest = words.duration(minutes).partition("h")
    read = int(hours) * 60 + int(rest) if rest else int(hours.removesuffix("min"))
    assert read == minutes


@pytest.mark.parametrize(
    ("names", "expected"),
    [([], ""), (["Bea"], "Bea"), (["Bea", "Ilo"], "Bea and Ilo")],
)
def test_names_are_listed_as_in_a_sentence(names: list[str], expected: str) -> None:
    assert words.listed(names) == expected


def test_counts_are_words_up_to_ten() -> None:
    assert [words.count_word(count) for count in (0, 4, 10, 11, 70)] == [
        "none",
        "four",
        "ten",
        "11",
        "70",
    ]

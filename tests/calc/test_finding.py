"""Case and accents aside, on every database alike.

Sources beside the cases: Unicode Standard Annex 15 (canonical and compatibility decomposition),
Unicode's CaseFolding.txt (ß and ẞ fold to ss, final sigma to sigma).
"""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.finding import MOST_SIGNS, Wanted, fold, found


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Äpfel", "apfel"),  # canonical decomposition
        ("crème brûlée", "creme brulee"),
        ("Ångström", "angstrom"),
        ("Straße", "strasse"),  # CaseFolding.txt, F
        ("STRASSE", "strasse"),
        ("Σίσυφος", "σισυφοσ"),  # CaseFolding.txt: final sigma
        ("ﬁlter", "filter"),  # compatibility decomposition of the ligature
        ("İzmir", "izmir"),
        ("Smørrebrød", "smorrebrod"),  # common practice, no source
        ("Łódź", "lodz"),  # common practice, no source
        ("Greta’s", "greta's"),  # common practice, no source
    ],
)
def test_what_a_text_is_compared_as(text: str, folded: str) -> None:
    assert fold(text) == folded


@settings(max_examples=80, deadline=None)
@given(st.text(max_size=12))
def test_folding_twice_or_another_spelling_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)
    for form in ("NFC", "NFD"):
        assert fold(unicodedata.normalize(form, text)) == fold(text)


WORDS = st.text(alphabet="abcdeäé", min_size=1, max_size=5)


@settings(max_examples=80, deadline=None)
@given(st.lists(WORDS, min_size=1, max_size=4), st.lists(WORDS, max_size=3))
def test_every_word_must_be_somewhere(words: list[str], others: list[str]) -> None:
    wanted = Wanted.of(" ".join(words))
    assert wanted.rank([" ".join(words), *others]) is not None
    assert wanted.rank(["x", *words]) is not None
    assert Wanted.of(" ".join([*words, "zzz"])).rank([" ".join(words), *others]) is None


def test_a_word_does_not_run_from_one_text_into_the_next() -> None:
    assert Wanted.of("oven").rank(["ov", "en"]) is None


def test_names_that_begin_so_come_first() -> None:
    rows = ["Wipe the oven", "Kitchen", "Oven", "Look into the coven", "The ovens"]
    texts = [([name, "oven" if name == "Kitchen" else ""], n) for n, name in enumerate(rows)]
    best = [rows[n] for n in found(Wanted.of("OVEN"), texts)]
    assert best == ["Oven", "Wipe the oven", "The ovens", "Look into the coven", "Kitchen"]


@pytest.mark.parametrize(
    ("query", "long_enough"),
    [
        ("", False),
        ("  ", False),
        ("a", False),
        ("é", False),
        ("ab", True),
        ("a b", True),
        ("茶", True),
    ],
)
def test_one_letter_is_too_little(query: str, long_enough: bool) -> None:
    assert Wanted.of(query).is_long_enough is long_enough


def test_a_long_query_is_cut_and_a_word_said_twice_counts_once() -> None:
    assert Wanted.of("oven Oven ÖVEN").words == ("oven",)
    assert len(Wanted.of("oven " * 500).words) == 1
    assert sum(map(len, Wanted.of("x" * 1000).words)) == MOST_SIGNS

"""A rhythm in the fewest words, for lists."""

from __future__ import annotations

from datetime import date

import pytest

from household.calc.recurrence.repeat import Kind, Repeat, Unit, Window
from household.calc.recurrence.words import brief

START = date(2026, 3, 17)  # a Tuesday


@pytest.mark.parametrize(
    ("rule", "more", "words"),
    [
        ("FREQ=DAILY", {}, "Every day"),
        ("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR", {}, "Monday to Friday"),
        ("FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR,SA,SU", {}, "Every day"),
        ("FREQ=WEEKLY;BYDAY=TU,FR", {}, "Every week on Tuesday and Friday"),
        (
            "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TU,WE",
            {},
            "Every 2 weeks on Monday, Tuesday and Wednesday",
        ),
        ("FREQ=WEEKLY;BYDAY=TU", {"window": Window.WEEK}, "Any day of every week"),
        ("FREQ=MONTHLY;BYDAY=-1SU", {}, "Every month on the last Sunday"),
        (
            "FREQ=WEEKLY;BYDAY=SA",
            {"months": frozenset({5, 6, 7})},
            "Every week on Saturday, only from May to July",
        ),
        ("FREQ=MONTHLY;BYSETPOS=2;BYDAY=MO,TU", {}, "By a rule of your own"),
    ],
)
def test_a_rule_in_few_words(rule, more, words):
    assert brief(Repeat(Kind.RULE, START, rule=rule, **more)) == words


def test_once_and_after_it_was_last_done():
    assert brief(Repeat(Kind.ONCE, START)) == "Once"
    after = Repeat(Kind.AFTER_DONE, START, every=10, unit=Unit.DAYS)
    assert brief(after) == "10 days after it was last done"

"""Dangers and emergencies: recognised on the safe side, cautioned against, never taught.

The sentences are our own: *common practice, no source*. That a licensed person is needed, and
that nothing tells how to do it, is what the checks hold.
"""

from __future__ import annotations

import re

import pytest

from household.calc import dangers
from household.calc.ages import AgeBand
from household.calc.dangers import Danger, Emergency
from household.calc.help_numbers import EU, HelpNumbers, help_numbers


@pytest.mark.parametrize(
    ("text", "repair", "found"),
    [
        ("The boiler makes a noise", True, ["gas"]),
        ("No hot water from the gas heater", True, ["gas"]),
        ("The socket in the hall is loose", True, ["mains"]),
        ("The fuse keeps tripping", True, ["mains"]),
        ("Rewire the shed", False, ["mains"]),
        ("A radiator drips", True, ["water"]),
        ("There is a pipe that leaks", True, ["water"]),
        ("The roof lets rain in", True, ["roof"]),
        ("Look at the chimney", False, ["roof"]),
        ("Knock through to the dining room", False, ["structure"]),
        ("Cracks in the wall by the stairs", True, ["structure"]),
        ("The old paint comes off the sill", True, ["old_materials"]),
        ("Asbestos in the shed roof", False, ["roof", "old_materials"]),
        ("The washing machine stops half way", True, ["insides"]),
        ("Open up the microwave", False, ["insides"]),
        ("The BOILER", True, ["gas"]),
        # these are for anybody
        ("The tap drips", True, []),
        ("Carry the washing machine box to the cellar", False, []),
        ("The chair wobbles", True, []),
        ("A lift to the station", False, []),
        ("The waste pipe under the sink is slow", True, []),
        ("Sparkling water for Saturday", False, []),
        ("Bring the book about Gaskell", False, []),
    ],
)
def test_dangers_are_read_from_plain_words(text: str, repair: bool, found: list[str]) -> None:
    assert dangers.recognised(text, repair=repair) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("It smells of gas in the kitchen", ["gas_smell"]),
        ("I can smell gas", ["gas_smell"]),
        ("There is a gas leak", ["gas_smell"]),
        ("The socket sparks", ["sparks"]),
        ("A burning smell from the plug", ["sparks"]),
        ("The cellar is flooded", ["flooding"]),
        ("Water is pouring from the ceiling", ["flooding"]),
        ("The carbon monoxide alarm is beeping", ["co_alarm"]),
        ("The pan is on fire", ["fire"]),
        ("The tap drips", []),
        ("Sparkling water, please", []),
        ("A floodlight for the yard", []),
    ],
)
def test_emergencies_are_read_from_plain_words(text: str, found: list[str]) -> None:
    assert dangers.emergency_in(text) == found


def test_cautions_name_licensed_people_and_local_codes() -> None:
    for danger in Danger:
        rule = dangers.RULES[danger]
        assert "local code" in rule.rest
        assert "licensed" in rule.who or "qualified" in rule.who
        assert rule.licence in dangers.LICENCES


def test_nothing_tells_how_it_is_done() -> None:
    """No verb of doing the work stands in any caution; getting safe is all that is said."""
    steps = re.compile(r"\b(unscrew|tighten|turn off|switch off|replace|cut|drain|undo|solder)\b")
    texts = [f"{rule.first} {rule.rest}" for rule in dangers.RULES.values()]
    texts += [rule.safe for rule in dangers.EMERGENCIES.values()]
    assert not [text for text in texts if steps.search(text.lower())]


def test_emergencies_say_get_safe_first_and_whom_to_call() -> None:
    assert set(dangers.EMERGENCIES) == set(Emergency)
    for rule in dangers.EMERGENCIES.values():
        first = rule.safe.split(".")[0].lower()
        assert "out" in first or "away" in first, "first the way out of danger"
        assert "call" in rule.safe.lower()
        assert "emergency" in rule.calls


@pytest.mark.parametrize("danger", list(Danger))
def test_nobody_without_a_licence_and_no_child_may(danger: Danger) -> None:
    licence = dangers.RULES[danger].licence

    def words(band: AgeBand, skills: list[str]) -> str:
        return dangers.refusal([danger.value], name="Oona", age_band=band, skills=skills)

    assert "grown-ups" in words(AgeBand.FROM_16, [licence])
    assert dangers.RULES[danger].who in words(AgeBand.ADULT, ["tools", "ladder"])
    assert words(AgeBand.ADULT, [licence]) == ""


def test_one_licence_is_not_enough_for_two_dangers() -> None:
    both = ["mains", "gas"]
    words = dangers.refusal(
        both, name="Dev", age_band=AgeBand.ADULT, skills=["licensed_gas", "tools"]
    )
    assert "electrician" in words


def test_unknown_kinds_are_left_out() -> None:
    assert dangers.in_order(["gas", "dragons"]) == [Danger.GAS]
    assert dangers.refusal([], name="Dev", age_band=AgeBand.UNDER_5, skills=[]) == ""


@pytest.mark.parametrize(
    ("country", "part", "numbers"),
    [
        # Directive (EU) 2018/1972, article 109, from memory; Commission pages on 112.
        ("IE", "", HelpNumbers("112")),
        ("DE", "", HelpNumbers("112")),
        # Pages of gas suppliers, read in third-party copies.
        ("GB", "ENG", HelpNumbers("999", "0800 111 999")),
        ("GB", "NIR", HelpNumbers("999", "0800 002 001")),
        # Notices of United States cities, read in third-party copies.
        ("US", "", HelpNumbers("911")),
        # Nothing in hand: nothing is said.
        ("BR", "", HelpNumbers()),
        ("", "", HelpNumbers()),
    ],
)
def test_numbers_are_known_only_where_a_source_says_so(
    country: str, part: str, numbers: HelpNumbers
) -> None:
    assert help_numbers(country, part) == numbers


def test_the_union_has_27_states() -> None:
    assert len(EU) == 27

"""Hard limits: ages, hazards, skills and licences."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.limits import (
    HAZARDS,
    AgeBand,
    Caution,
    Hazard,
    Refusal,
    cautions_for,
    is_for_licensed_people,
    lowest_age,
    may_do,
)

BANDS = st.sampled_from(list(AgeBand))
HAZARD_SETS = st.frozensets(st.sampled_from(list(Hazard)))


def asked(
    band: AgeBand,
    *,
    skills: tuple[str, ...] = (),
    min_age: AgeBand = AgeBand.UNDER_5,
    hazards: tuple[Hazard, ...] = (),
    needs: tuple[str, ...] = (),
) -> Refusal | None:
    return may_do(band, skills, name="Ilo", min_age=min_age, hazards=hazards, needs_skills=needs)


def test_a_task_without_limits_is_for_everybody() -> None:
    assert all(asked(band) is None for band in AgeBand)


@pytest.mark.parametrize(
    ("min_age", "hazards", "words"),
    [
        (
            AgeBand.UNDER_5,
            (Hazard.LADDER,),
            "Ilo is 8 to 11; this needs 16 to 17 or older because of the ladder.",
        ),
        (AgeBand.FROM_12, (), "Ilo is 8 to 11; this needs 12 to 15 or older."),
        (
            AgeBand.FROM_12,
            (Hazard.BLADES,),
            "Ilo is 8 to 11; this needs 12 to 15 or older because of the blades.",
        ),
        (AgeBand.ADULT, (Hazard.BLADES,), "Ilo is 8 to 11; this needs an adult."),
        (
            AgeBand.UNDER_5,
            (Hazard.BLADES, Hazard.LADDER, Hazard.HEAVY_LIFTING),
            "Ilo is 8 to 11; this needs 16 to 17 or older because of "
            "the ladder and the heavy lifting.",
        ),
        (
            AgeBand.UNDER_5,
            (Hazard.BLEACH_OR_DISINFECTANT,),
            "Ilo is 8 to 11; this needs an adult because of the bleach or disinfectant.",
        ),
    ],
)
def test_a_refusal_says_who_is_too_young_for_what(
    min_age: AgeBand, hazards: tuple[Hazard, ...], words: str
) -> None:
    assert asked(AgeBand.FROM_8, min_age=min_age, hazards=hazards) == Refusal(words)


def test_somebody_old_enough_may_work_with_the_hazard() -> None:
    assert asked(AgeBand.FROM_16, hazards=(Hazard.LADDER,)) is None


def test_a_missing_skill_is_named_kindly() -> None:
    refused = asked(AgeBand.ADULT, skills=("ironing",), needs=("driving", "ironing", "tools"))
    words = "This needs driving and using power tools, which Ilo has not learned yet."
    assert refused == Refusal(words)
    assert asked(AgeBand.ADULT, skills=("driving",), needs=("driving",)) is None


def test_a_skill_does_not_lift_an_age_limit() -> None:
    refused = asked(AgeBand.FROM_8, skills=("ladder",), hazards=(Hazard.LADDER,), needs=("ladder",))
    assert refused is not None
    assert "16 to 17" in refused.words


@pytest.mark.parametrize("hazard", [Hazard.GAS, Hazard.MAINS_ELECTRICITY])
def test_gas_and_mains_are_for_licensed_people(hazard: Hazard) -> None:
    refused = asked(AgeBand.ADULT, hazards=(hazard,))
    assert refused is not None
    assert refused.words.startswith("This is for a licensed person. Follow your local code.")
    assert is_for_licensed_people([hazard])
    licence = HAZARDS[hazard].licence
    assert licence is not None
    assert asked(AgeBand.ADULT, skills=(licence,), hazards=(hazard,)) is None
    assert asked(AgeBand.FROM_16, skills=(licence,), hazards=(hazard,)) is not None


def test_one_licence_does_not_stand_for_the_other() -> None:
    gas = HAZARDS[Hazard.GAS].licence
    assert gas is not None
    assert asked(AgeBand.ADULT, skills=(gas,), hazards=(Hazard.MAINS_ELECTRICITY,)) is not None


def test_other_hazards_need_no_licence() -> None:
    licensed = {hazard for hazard in Hazard if is_for_licensed_people([hazard])}
    assert licensed == {Hazard.GAS, Hazard.MAINS_ELECTRICITY}


def test_no_hazard_is_below_its_published_age() -> None:
    # American Academy of Pediatrics (S. Flais): bathrooms and a simple meal at 11 to 12.
    for hazard in (Hazard.CLEANING_AGENTS, Hazard.HOT_WATER_OR_STEAM, Hazard.UNSAFE_FOOD):
        assert HAZARDS[hazard].lowest.youngest >= 11
    # 29 CFR 570.33: work on ladders is not for 14- and 15-year-olds. Read in a summary.
    assert HAZARDS[Hazard.LADDER].lowest.youngest >= 16
    # American Academy of Pediatrics: a ride-on mower from 16. Read in summaries.
    assert HAZARDS[Hazard.POWER_TOOLS].lowest.youngest >= 16
    # American Academy of Pediatrics: crossing roads alone from about 10. Read in summaries.
    assert HAZARDS[Hazard.TRAFFIC].lowest.youngest >= 10


def test_every_hazard_has_a_caution_and_says_where_it_comes_from() -> None:
    assert set(HAZARDS) == set(Hazard)
    for rule in HAZARDS.values():
        assert 1 <= len(rule.caution.first.split()) <= 6
        assert rule.caution.first.endswith(".")
        assert rule.caution.rest.endswith(".")
        assert rule.age_source
        assert rule.caution_source


def test_no_hazard_is_open_to_small_children() -> None:
    assert all(rule.lowest >= AgeBand.FROM_12 for rule in HAZARDS.values())


def test_cautions_stand_once_and_those_for_licensed_people_first() -> None:
    found = cautions_for([Hazard.LADDER, Hazard.CLEANING_AGENTS, Hazard.GAS, Hazard.LADDER])
    assert [caution.first for caution in found] == [
        "This is for a licensed person.",
        "One cleaner only.",
        "Someone holds the ladder.",
    ]
    assert found[1] == Caution("One cleaner only.", "Never mix two. Open the window.")


def test_a_task_without_hazards_has_no_cautions() -> None:
    assert cautions_for([]) == []


@given(band=BANDS, min_age=BANDS, hazards=HAZARD_SETS)
@settings(max_examples=200, deadline=None)
def test_nobody_below_a_hazard_is_let_through(
    band: AgeBand, min_age: AgeBand, hazards: frozenset[Hazard]
) -> None:
    every_licence = tuple(rule.licence for rule in HAZARDS.values() if rule.licence)
    allowed = asked(band, skills=every_licence, min_age=min_age, hazards=tuple(hazards)) is None
    old_enough = band >= min_age and all(band >= HAZARDS[hazard].lowest for hazard in hazards)
    assert allowed == old_enough
    assert lowest_age(min_age, hazards) >= min_age


@given(min_age=BANDS, hazards=HAZARD_SETS)
@settings(max_examples=100, deadline=None)
def test_growing_older_never_takes_a_task_away(
    min_age: AgeBand, hazards: frozenset[Hazard]
) -> None:
    allowed = [
        asked(band, min_age=min_age, hazards=tuple(hazards)) is None for band in sorted(AgeBand)
    ]
    assert allowed == sorted(allowed)

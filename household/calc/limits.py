"""Hard limits: who may do a task, and what it must caution against.

A limit is never weighed against anything. A chore may ask for more than its hazards do, never
for less.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from household.calc.ages import AgeBand, suggested_age
from household.calc.hazards import HAZARDS, Caution, Hazard, HazardRule

__all__ = [
    "HAZARDS",
    "AgeBand",
    "Caution",
    "Hazard",
    "HazardRule",
    "Refusal",
    "cautions_for",
    "is_for_licensed_people",
    "lowest_age",
    "may_do",
    "suggested_age",
]

# How a skill reads after "this needs"; any other skill is named as it stands.
_SKILL_WORDS = {
    "cooking": "cooking alone",
    "ladder": "working on a ladder",
    "laundry": "running the washing machine",
    "paperwork": "doing the household's papers",
    "sewing": "sewing and mending",
    "tools": "using power tools",
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why somebody may not do a task, in a kind sentence."""

    words: str


def may_do(
    age_band: AgeBand,
    skills: Collection[str],
    *,
    name: str,
    min_age: AgeBand,
    hazards: Collection[Hazard],
    needs_skills: Collection[str],
) -> Refusal | None:
    """None if this member may do the task, else the first reason against it.

    Licence before age before skill. Work for licensed people is refused to everybody whose
    skills do not name the licence, grown up or not.
    """
    for hazard in _in_order(hazards):
        if HAZARDS[hazard].licence is not None and HAZARDS[hazard].licence not in skills:
            caution = HAZARDS[hazard].caution
            return Refusal(f"{caution.first} {caution.rest}")
    needed = lowest_age(min_age, hazards)
    if age_band < needed:
        return Refusal(_too_young(name, age_band, needed, hazards))
    missing = [skill for skill in dict.fromkeys(needs_skills) if skill not in skills]
    if missing:
        work = _listed([_SKILL_WORDS.get(skill, skill) for skill in missing])
        return Refusal(f"This needs {work}, which {name} has not learned yet.")
    return None


def lowest_age(min_age: AgeBand, hazards: Collection[Hazard]) -> AgeBand:
    """The youngest band that may do a task: the chore's own limit or its hazards' if older."""
    return max([min_age, *(HAZARDS[hazard].lowest for hazard in hazards)])


def is_for_licensed_people(hazards: Iterable[Hazard]) -> bool:
    """Whether a task or a request of this kind is not for the household to do itself."""
    return any(HAZARDS[hazard].licence is not None for hazard in hazards)


def cautions_for(hazards: Collection[Hazard]) -> list[Caution]:
    """The cautions of a task, each once, those for licensed people first."""
    licensed_first = sorted(_in_order(hazards), key=lambda hazard: HAZARDS[hazard].licence is None)
    return list(dict.fromkeys(HAZARDS[hazard].caution for hazard in licensed_first))


def _too_young(name: str, age_band: AgeBand, needed: AgeBand, hazards: Collection[Hazard]) -> str:
    wanted = "an adult" if needed is AgeBand.ADULT else f"{needed.words} or older"
    sentence = f"{name} is {age_band.words}; this needs {wanted}"
    rules = (HAZARDS[hazard] for hazard in _in_order(hazards))
    because = [f"the {rule.noun}" for rule in rules if rule.lowest == needed]
    return f"{sentence} because of {_listed(because)}." if because else f"{sentence}."


def _in_order(hazards: Collection[Hazard]) -> list[Hazard]:
    return [hazard for hazard in Hazard if hazard in hazards]


def _listed(names: list[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"

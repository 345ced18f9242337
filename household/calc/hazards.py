"""What can hurt someone in a task, from which age it is allowed, and the caution it carries.

The lowest ages err on the safe side. Each age and each caution names its source, and where
there is none it says so. They are no substitute for a parent's judgement.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from household.calc.ages import AgeBand


class Hazard(StrEnum):
    """What can hurt someone in a task."""

    CLEANING_AGENTS = "cleaning_agents"
    BLEACH_OR_DISINFECTANT = "bleach_or_disinfectant"
    HOT_WATER_OR_STEAM = "hot_water_or_steam"
    HOT_OIL = "hot_oil"
    BLADES = "blades"
    MAINS_ELECTRICITY = "mains_electricity"
    GAS = "gas"
    LADDER = "ladder"
    HEAVY_LIFTING = "heavy_lifting"
    POWER_TOOLS = "power_tools"
    TRAFFIC = "traffic"
    WATER_DEPTH = "water_depth"
    UNSAFE_FOOD = "unsafe_food"


@dataclass(frozen=True, slots=True)
class Caution:
    """What to beware of: a few first words, shown bold, and the rest."""

    first: str
    rest: str


@dataclass(frozen=True, slots=True)
class HazardRule:
    """What a hazard asks for.

    noun: as in "because of the ladder". licence: the skill of a licensed person, without which
    nobody may do it; None where no licence is needed. age_source, caution_source: where the
    lowest age and the caution come from.
    """

    noun: str
    lowest: AgeBand
    caution: Caution
    age_source: str
    caution_source: str
    licence: str | None = None


NO_SOURCE = "common practice, no source"
_PAEDIATRIC = "S. Flais, American Academy of Pediatrics, tasks by age; read in a reprint"
_LICENSED = "This is for a licensed person."

HAZARDS: Mapping[Hazard, HazardRule] = {
    Hazard.CLEANING_AGENTS: HazardRule(
        "cleaning agents",
        AgeBand.FROM_12,
        Caution("One cleaner only.", "Never mix two. Open the window."),
        f"{_PAEDIATRIC}: clean the bathroom at 11 to 12",
        "CDC, Cleaning and Disinfecting with Bleach: never mix cleaners",
    ),
    Hazard.BLEACH_OR_DISINFECTANT: HazardRule(
        "bleach or disinfectant",
        AgeBand.ADULT,
        Caution(
            "Never mix it.",
            "Water only, as the label says. Clean first, gloves on, window open.",
        ),
        "AAP and CPSC safety texts: no bleach for children; from memory",
        "CDC, Cleaning and Disinfecting with Bleach",
    ),
    Hazard.HOT_WATER_OR_STEAM: HazardRule(
        "hot water or steam",
        AgeBand.FROM_12,
        Caution("Hot water burns.", "Test it first. Keep small children away."),
        f"{_PAEDIATRIC}: cook a simple meal, supervised, at 11 to 12",
        "AAP and CPSC table: water of 60 °C burns in 6 seconds; read in a reprint",
    ),
    Hazard.HOT_OIL: HazardRule(
        "hot oil",
        AgeBand.FROM_16,
        Caution("Stay beside hot oil.", "If it burns: lid on, heat off, never water."),
        "AAP and CPSC safety texts: no hot oil alone for children; from memory",
        NO_SOURCE,
    ),
    Hazard.BLADES: HazardRule(
        "blades",
        AgeBand.FROM_12,
        Caution("Sharp blade.", "Cut away from yourself. Look before you reach."),
        NO_SOURCE,
        NO_SOURCE,
    ),
    Hazard.MAINS_ELECTRICITY: HazardRule(
        "mains wiring",
        AgeBand.ADULT,
        Caution(_LICENSED, "Follow your local code."),
        NO_SOURCE,
        NO_SOURCE,
        licence="licensed_electrician",
    ),
    Hazard.GAS: HazardRule(
        "gas",
        AgeBand.ADULT,
        Caution(_LICENSED, "Follow your local code. If you smell gas, go out, then call."),
        NO_SOURCE,
        NO_SOURCE,
        licence="licensed_gas",
    ),
    Hazard.LADDER: HazardRule(
        "ladder",
        AgeBand.FROM_16,
        Caution("Someone holds the ladder.", "Firm ground, both feet on, no leaning out."),
        "29 CFR 570.33: no paid work on ladders at 14 and 15; read in a summary",
        NO_SOURCE,
    ),
    Hazard.HEAVY_LIFTING: HazardRule(
        "heavy lifting",
        AgeBand.FROM_16,
        Caution("Lift it with two.", "Bend your knees and hold it close."),
        NO_SOURCE,
        NO_SOURCE,
    ),
    Hazard.POWER_TOOLS: HazardRule(
        "power tools",
        AgeBand.ADULT,
        Caution("Eyes and ears covered.", "Children away. Unplug it before you touch a blade."),
        "AAP: ride-on mowers from 16; 29 CFR 570 subpart E: power saws from 18; read in summaries",
        "AAP, lawn mower safety; read in summaries",
    ),
    Hazard.TRAFFIC: HazardRule(
        "traffic",
        AgeBand.FROM_12,
        Caution("Mind the traffic.", "Stop, look both ways, cross where drivers see you."),
        "AAP, child pedestrian safety: alone from about 10; read in summaries",
        "AAP, child pedestrian safety; read in summaries",
    ),
    Hazard.WATER_DEPTH: HazardRule(
        "deep water",
        AgeBand.ADULT,
        Caution("Stay within reach.", "Nobody small is near water alone, not for a moment."),
        NO_SOURCE,
        NO_SOURCE,
    ),
    Hazard.UNSAFE_FOOD: HazardRule(
        "raw food",
        AgeBand.FROM_12,
        Caution("Raw food apart.", "Wash your hands, cook it through, chill it within 2 hours."),
        f"{_PAEDIATRIC}: cook a simple meal, supervised, at 11 to 12",
        "USDA FSIS: 2 hours at room temperature, 1 hour above 32 °C",
    ),
}

"""Work that is for licensed people, and emergencies: recognised, cautioned against, never taught.

Recognising errs on the safe side: a word that may mean danger is taken to mean it, and a grown-up
may say that it does not. The words are English; other languages have the asker's own choice.
None of this is from a standard: *common practice, no source*, except where a source is named.
"""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from household.calc.ages import AgeBand

DEFER = "Who may do it, and how, is for your local code to say."


class Danger(StrEnum):
    """What makes a request one for licensed people."""

    GAS = "gas"
    MAINS = "mains"
    WATER = "water"
    ROOF = "roof"
    STRUCTURE = "structure"
    OLD_MATERIALS = "old_materials"
    INSIDES = "insides"


@dataclass(frozen=True, slots=True)
class DangerRule:
    """label: as a choice says it. licence: the skill without which nobody gets the task.

    who: whom to ask, after "Ask". first and rest: the caution, its first words shown bold.
    """

    label: str
    licence: str
    who: str
    first: str
    rest: str


RULES: dict[Danger, DangerRule] = {
    Danger.GAS: DangerRule(
        "Gas: boiler, hob, pipe",
        "licensed_gas",
        "a licensed gas engineer",
        "Gas is for a licensed person.",
        f"{DEFER} If you smell gas: everybody out, then call.",
    ),
    Danger.MAINS: DangerRule(
        "Mains electricity: sockets, switches, wiring",
        "licensed_electrician",
        "a licensed electrician",
        "Mains electricity is for a licensed person.",
        f"{DEFER} Keep away from it until then.",
    ),
    Danger.WATER: DangerRule(
        "Water under pressure: pipes, tank, heating",
        "licensed_plumber",
        "a licensed plumber",
        "Water under pressure is for a licensed person.",
        f"{DEFER} It can scald and flood.",
    ),
    Danger.ROOF: DangerRule(
        "The roof or the chimney",
        "licensed_roofer",
        "a licensed roofer",
        "Nobody of the household goes on the roof.",
        f"{DEFER} Falls from roofs kill.",
    ),
    Danger.STRUCTURE: DangerRule(
        "Walls, beams, ceilings that carry",
        "licensed_builder",
        "a licensed builder or structural engineer",
        "What carries the house is for a licensed person.",
        f"{DEFER} Stay out from under it.",
    ),
    Danger.OLD_MATERIALS: DangerRule(
        "Old materials: asbestos, lead paint",
        "licensed_removal",
        "a firm licensed for asbestos or lead",
        "Leave it whole: old materials may hold asbestos or lead.",
        f"{DEFER} No sanding, drilling, sweeping. Keep children away.",
    ),
    Danger.INSIDES: DangerRule(
        "The inside of an appliance",
        "licensed_appliances",
        "a qualified repairer",
        "An appliance is opened by a qualified person only.",
        f"{DEFER} It can shock even when it is unplugged.",
    ),
}

# What a member's own licence is called; the keys stand among a member's skills.
LICENCES: dict[str, str] = {
    "licensed_gas": "Licensed for gas",
    "licensed_electrician": "Licensed electrician",
    "licensed_plumber": "Licensed plumber",
    "licensed_roofer": "Licensed roofer",
    "licensed_builder": "Licensed builder",
    "licensed_removal": "Licensed for asbestos or lead",
    "licensed_appliances": "Qualified to repair appliances",
}

_APPLIANCES = (
    r"microwave|washing machine|washer|dishwasher|(?:tumble )?dryer|oven|cooker|stove|hob|"
    r"fridge|refrigerator|freezer|kettle|toaster|television|tv|heat pump"
)
_WORDS: dict[Danger, str] = {
    Danger.GAS: r"gas|boiler|furnace|pilot light|propane|butane|lpg|carbon monoxide|co alarm",
    Danger.MAINS: (
        r"sockets?|outlets?|power ?points?|fuse|fuses|fuse ?box|fuseboard|consumer unit|"
        r"(?:circuit )?breakers?|keeps? tripping|wiring|wires?|rewir\w+|mains|electric\w*|"
        r"light (?:switch|fitting|fixture)\w*|ceiling light|spark|sparks|sparking|sparked"
    ),
    Danger.WATER: (
        r"(?<!waste )(?<!drain )pipes?|stopcock|stop tap|radiators?|water (?:heater|main|mains|"
        r"tank|cylinder|pressure)|mains water|hot water (?:tank|cylinder)|immersion|"
        r"pressure (?:valve|vessel)|central heating|burst"
    ),
    Danger.ROOF: r"roof\w*|chimneys?|skylights?|solar panels?|ridge tiles?",
    Danger.STRUCTURE: (
        r"load[ -]?bearing|structural\w*|knock (?:through|down|out)|"
        r"cracks? in the (?:wall|ceiling)|ceiling (?:is )?coming down|"
        r"(?:wall|ceiling) (?:is )?(?:cracked|cracking|sagging|bulging)|"
        r"subsidence|foundations?|joists?|beams?|lintels?|(?:remove|take out|move) (?:a|the) wall"
    ),
    Danger.OLD_MATERIALS: (
        r"asbestos|artex|lead paint|old paint|lead pipes?|textured ceiling|popcorn ceiling|"
        r"vermiculite|lagging|old (?:vinyl )?floor tiles"
    ),
    Danger.INSIDES: (
        rf"(?:inside|insides) (?:of )?(?:the |an? )?(?:{_APPLIANCES})|take apart|took apart|"
        rf"open(?:ed|ing)? up (?:the |an? )?(?:{_APPLIANCES})|compressor|magnetron"
    ),
}


def _pattern(words: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE)


_PATTERNS = {danger: _pattern(words) for danger, words in _WORDS.items()}
_REPAIRED = _pattern(_APPLIANCES)


def recognised(text: str, *, repair: bool) -> list[Danger]:
    """The dangers that plain English words in `text` may mean, in their own order.

    `repair`: something is to be mended, so that an appliance's name means its inside.
    """
    found = {danger for danger, pattern in _PATTERNS.items() if pattern.search(text)}
    if repair and _REPAIRED.search(text):
        found.add(Danger.INSIDES)
    return in_order(found)


def in_order(dangers: Iterable[str]) -> list[Danger]:
    """Known dangers only, each once, in the order they are declared."""
    given = {str(danger) for danger in dangers}
    return [danger for danger in Danger if danger.value in given]


def cautions(dangers: Iterable[str]) -> list[tuple[str, str]]:
    """First words and the rest, one a danger."""
    return [(RULES[danger].first, RULES[danger].rest) for danger in in_order(dangers)]


def whom_to_ask(dangers: Iterable[str]) -> list[str]:
    """ "a licensed electrician" and the like, in order."""
    return [RULES[danger].who for danger in in_order(dangers)]


def refusal(
    dangers: Iterable[str], *, name: str, age_band: AgeBand, skills: Collection[str]
) -> str:
    """Why a member may not do such work, as a sentence; empty when they may.

    Age comes first: no child gets it, whatever their skills say.
    """
    found = in_order(dangers)
    if not found:
        return ""
    if age_band < AgeBand.ADULT:
        return f"This is for grown-ups to see to, not for {name}."
    lacking = [danger for danger in found if RULES[danger].licence not in skills]
    if not lacking:
        return ""
    rule = RULES[lacking[0]]
    return f"{rule.first} Ask {rule.who}. {DEFER}"


class Emergency(StrEnum):
    """What cannot wait for anybody's answer."""

    GAS_SMELL = "gas_smell"
    SPARKS = "sparks"
    FLOODING = "flooding"
    CO_ALARM = "co_alarm"
    FIRE = "fire"


@dataclass(frozen=True, slots=True)
class EmergencyRule:
    """label: as a heading. safe: get safe first. calls: which of the household's numbers, in order.

    source: where "get safe first" comes from.
    """

    label: str
    safe: str
    calls: tuple[str, ...]
    source: str


EMERGENCIES: dict[Emergency, EmergencyRule] = {
    Emergency.GAS_SMELL: EmergencyRule(
        "A smell of gas",
        "Everybody out, now. No switch, no flame, no telephone indoors. Call from outside, and "
        "stay outside until you are told that it is safe.",
        ("gas", "emergency"),
        "gas emergency services’ own advice, read in reprints",
    ),
    Emergency.SPARKS: EmergencyRule(
        "Sparks, or a smell of burning",
        "Keep away from it, and keep everybody away. Touch nobody who is being shocked. If "
        "anything smokes or burns: everybody out, then call.",
        ("emergency", "electricity"),
        "common practice, no source",
    ),
    Emergency.FLOODING: EmergencyRule(
        "Flooding",
        "Keep out of the water: it may be live. Get everybody to a dry place, then call.",
        ("plumber", "water", "emergency"),
        "common practice, no source",
    ),
    Emergency.CO_ALARM: EmergencyRule(
        "The carbon monoxide alarm sounds",
        "Everybody out into the fresh air, now, pets too. Call from outside, and stay outside "
        "until you are told that it is safe. Say so if anybody feels ill.",
        ("emergency", "gas"),
        "fire services’ and consumer bodies’ advice, read in reprints",
    ),
    Emergency.FIRE: EmergencyRule(
        "Fire",
        "Everybody out, now, and stay out. Call from outside.",
        ("emergency",),
        "fire services’ advice, from memory",
    ),
}

_SIGNS: dict[Emergency, re.Pattern[str]] = {
    Emergency.GAS_SMELL: _pattern(
        r"smell\w* (?:of |like )?(?:the )?gas|smell gas|gas smell|gas leak\w*|leaking gas|"
        r"gas escape|rotten eggs?"
    ),
    Emergency.SPARKS: _pattern(
        r"spark|sparks|sparking|sparked|burning smell|smell\w* (?:of |like )?(?:burning|burnt)|"
        r"smoking (?:socket|plug|switch|outlet)|electric shock|shocked me|gave me a shock"
    ),
    Emergency.FLOODING: _pattern(
        r"flood|floods|flooded|flooding|burst pipe|pipe (?:has |is )?burst|"
        r"water (?:is )?(?:pouring|gushing|coming through)"
    ),
    Emergency.CO_ALARM: _pattern(r"carbon monoxide|co (?:alarm|detector)"),
    Emergency.FIRE: _pattern(r"on fire|caught fire|flames|house fire"),
}


def emergency_in(text: str) -> list[Emergency]:
    """The emergencies that words in `text` may tell of."""
    return [emergency for emergency, pattern in _SIGNS.items() if pattern.search(text)]

"""Ideas to begin with, in our own words: each household makes its own list of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from household.breathers.models import Company
from household.people.models import AgeBand


class Starter(NamedTuple):
    """`minutes` is None where it takes as long as it takes."""

    company: Company
    name: str
    minutes: int | None
    min_age: AgeBand = AgeBand.UNDER_5


# Hot things, and out of the house, are not for small children. Common practice, no source.
STARTER: Final = (
    Starter(Company.ONESELF, "An hour with the door shut", 60),
    Starter(Company.ONESELF, "Read something nobody asked you to read", 30),
    Starter(Company.ONESELF, "Out of the house, without an errand", 40, AgeBand.FROM_12),
    Starter(Company.ONESELF, "Ring somebody you miss", 30),
    Starter(Company.ONESELF, "Music, loud or quiet", 20),
    Starter(Company.ONESELF, "Go to bed early", None),
    Starter(Company.ONESELF, "Make something with your hands", 45),
    Starter(Company.ONESELF, "Sit down with a hot drink while it is hot", 20, AgeBand.FROM_8),
    Starter(Company.TWO, "A walk round the block, telephones at home", 30, AgeBand.FROM_12),
    Starter(Company.TWO, "A game of cards", 30),
    Starter(Company.TWO, "Cook something neither of you has made before", 60, AgeBand.FROM_12),
    Starter(Company.TWO, "Look at old photographs", 30),
    Starter(Company.TWO, "One teaches the other something", 45),
    Starter(Company.TWO, "Something sweet, in town", 60, AgeBand.FROM_12),
    Starter(Company.ALL, "Supper on the floor, like a picnic", 45),
    Starter(Company.ALL, "A board game, the youngest chooses", 60),
    Starter(Company.ALL, "A film that everybody can bear", 120),
    Starter(Company.ALL, "Out to where there are trees", 120),
    Starter(Company.ALL, "Breakfast for supper", 40),
    Starter(Company.ALL, "Each plays one song for the others", 30),
)


def never_had(shared: Iterable[tuple[str, str]]) -> list[Starter]:
    """What of the set was never on the shared lists. shared: (company, name) of all there were."""
    had = {(company, name.casefold()) for company, name in shared}
    return [each for each in STARTER if (each.company.value, each.name.casefold()) not in had]

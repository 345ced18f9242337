"""Ideas to begin with, in our own words: each household makes its own list of them."""

from __future__ import annotations

from typing import Final

from household.breathers.models import Company
from household.people.models import AgeBand

# company, idea, minutes (None where it takes as long as it takes)
STARTER: Final[tuple[tuple[Company, str, int | None], ...]] = (
    (Company.ONESELF, "An hour with the door shut", 60),
    (Company.ONESELF, "Read something nobody asked you to read", 30),
    (Company.ONESELF, "Out of the house, without an errand", 40),
    (Company.ONESELF, "Ring somebody you miss", 30),
    (Company.ONESELF, "Music, loud or quiet", 20),
    (Company.ONESELF, "Go to bed early", None),
    (Company.ONESELF, "Make something with your hands", 45),
    (Company.ONESELF, "Sit down with a hot drink while it is hot", 20),
    (Company.TWO, "A walk round the block, telephones at home", 30),
    (Company.TWO, "A game of cards", 30),
    (Company.TWO, "Cook something neither of you has made before", 60),
    (Company.TWO, "Look at old photographs", 30),
    (Company.TWO, "One teaches the other something", 45),
    (Company.TWO, "Something sweet, in town", 60),
    (Company.ALL, "Supper on the floor, like a picnic", 45),
    (Company.ALL, "A board game, the youngest chooses", 60),
    (Company.ALL, "A film that everybody can bear", 120),
    (Company.ALL, "Out to where there are trees", 120),
    (Company.ALL, "Breakfast for supper", 40),
    (Company.ALL, "Each plays one song for the others", 30),
)

# What is not for small children: hot things, and out of the house. Common practice, no source.
FROM_AGE: Final[dict[str, AgeBand]] = {
    "Out of the house, without an errand": AgeBand.FROM_12,
    "Sit down with a hot drink while it is hot": AgeBand.FROM_8,
    "A walk round the block, telephones at home": AgeBand.FROM_12,
    "Cook something neither of you has made before": AgeBand.FROM_12,
    "Something sweet, in town": AgeBand.FROM_12,
}

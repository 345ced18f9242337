"""Bands of age, and the age from which a common chore is suggested.

Suggestions are for the household to change; hard limits are in limits.py.
"""

import csv
import re
from enum import StrEnum
from functools import cache
from importlib.resources import files


class AgeBand(StrEnum):
    """Bands of age, ordered from the youngest."""

    UNDER_5 = "under_5"
    FROM_5 = "5_7"
    FROM_8 = "8_11"
    FROM_12 = "12_15"
    FROM_16 = "16_17"
    ADULT = "adult"

    @classmethod
    def of_age(cls, years: int) -> "AgeBand":
        """The band of somebody of this age in whole years."""
        return max((band for band in cls if _YOUNGEST[band] <= years), default=cls.UNDER_5)

    @property
    def rank(self) -> int:
        return _RANK[self.value]

    @property
    def youngest(self) -> int:
        """Age in years of the youngest in the band who is asked for anything.

        3 under 5: routine chores help from about 3 on (AACAP Facts for Families 125, 2018).
        """
        return _YOUNGEST[self]

    @property
    def words(self) -> str:
        """As in "Ilo is 8 to 11"."""
        return _BAND_WORDS[self]

    def __lt__(self, other: str) -> bool:
        return self.rank < AgeBand(other).rank

    def __le__(self, other: str) -> bool:
        return self.rank <= AgeBand(other).rank

    def __gt__(self, other: str) -> bool:
        return self.rank > AgeBand(other).rank

    def __ge__(self, other: str) -> bool:
        return self.rank >= AgeBand(other).rank


_RANK = {band.value: rank for rank, band in enumerate(AgeBand)}
_YOUNGEST = dict(zip(AgeBand, (3, 5, 8, 12, 16, 18), strict=True))
_BAND_WORDS = {
    AgeBand.UNDER_5: "under 5",
    AgeBand.FROM_5: "5 to 7",
    AgeBand.FROM_8: "8 to 11",
    AgeBand.FROM_12: "12 to 15",
    AgeBand.FROM_16: "16 to 17",
    AgeBand.ADULT: "adult",
}


def suggested_age(words: str) -> AgeBand | None:
    """The band from which a chore of such a name suits, or None where nothing is known.

    Reads English names only. Where several chores of the table fit, the oldest band counts, so
    that "Change the bed sheets" is not taken for making the bed. A band is suggested only if
    its youngest are as old as the source says. Source: data/chore_ages.csv.
    """
    found = re.findall(r"[a-z]+", words.casefold())
    fitting = [
        band
        for stems, band in _suggestions()
        if all(any(word.startswith(stem) for word in found) for stem in stems)
    ]
    return max(fitting, default=None)


@cache
def _suggestions() -> tuple[tuple[tuple[str, ...], AgeBand], ...]:
    text = files(__package__).joinpath("data", "chore_ages.csv").read_text(encoding="utf-8")
    return tuple(
        (tuple(row["words"].split()), _band_from(int(row["age_from"])))
        for row in csv.DictReader(text.splitlines())
    )


def _band_from(age: int) -> AgeBand:
    return next(band for band in AgeBand if band.youngest >= age)

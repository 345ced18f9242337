"""Finding words in texts, whatever the case and the accents: "apfel" finds "Äpfel".

It is done here and not in the database, so that every database finds the same.

Sources: Unicode Standard Annex 15 (NFKD), Unicode Standard 3.13 (case folding). Letters that do
not come apart under NFKD (ø, ł, đ ...) are folded to the plain letter they resemble: common
practice, no source.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

MOST_WORDS: Final = 8
MOST_SIGNS: Final = 100
FEWEST_SIGNS: Final = 2  # one letter is in nearly everything

_PLAIN: Final = str.maketrans(
    {
        "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i",
        "ħ": "h", "ŧ": "t", "’": "'", "‘": "'", "‐": "-", "‑": "-", "–": "-",
    }
)  # fmt: skip


@lru_cache(maxsize=8192)
def fold(text: str) -> str:
    """Without case and accents, for comparing only."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return bare.casefold().translate(_PLAIN)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for: every word must be somewhere in a row's texts."""

    words: tuple[str, ...]

    @classmethod
    def of(cls, query: str) -> Wanted:
        words = dict.fromkeys(fold(query[:MOST_SIGNS]).split())
        return cls(tuple(words)[:MOST_WORDS])

    @property
    def is_long_enough(self) -> bool:
        """Two signs or more, or one of a script in which a sign is a word."""
        signs = "".join(self.words)
        return len(signs) >= FEWEST_SIGNS or any(
            unicodedata.category(sign) == "Lo" for sign in signs
        )

    def rank(self, texts: Sequence[str]) -> int | None:
        """How well a row fits, the lower the better; None where a word is missing.

        texts: the row's name first, then all else that is known of it. A name that begins with
        what was typed comes first, then names in which each word begins one, then names that
        hold them all, then rows that hold them somewhere.
        """
        name = fold(texts[0])
        whole = "\n".join([name, *(fold(each) for each in texts[1:] if each)])
        if not all(word in whole for word in self.words):
            return None
        if name.startswith(" ".join(self.words)):
            return 0
        parts = name.replace("-", " ").split()
        if all(any(part.startswith(word) for part in parts) for word in self.words):
            return 1
        return 2 if all(word in name for word in self.words) else 3


def found(wanted: Wanted, rows: Iterable[tuple[Sequence[str], int]]) -> list[int]:
    """The numbers of the rows that fit, the best first and otherwise in their own order.

    rows: each row's texts, its name first, and its number.
    """
    fits = [(wanted.rank(texts), number) for texts, number in rows]
    ranked = [
        (rank, place, number) for place, (rank, number) in enumerate(fits) if rank is not None
    ]
    return [number for _, _, number in sorted(ranked)]

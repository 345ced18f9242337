"""The texts of events, kept in memory from one fetch to the next.

A household's calendars are asked for again and again, and between two fetches a few tasks
changed at most: only those are written anew. What is kept hangs on the version of each piece,
so nothing has to be told of a change.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable

from household.calc.feed_events import EventFacts
from household.feeds.shown import Piece

_kept: dict[Hashable, dict[Hashable, tuple[Hashable, str]]] = {}
MOST_KEPT = 30_000


def texts(
    pieces: Iterable[Piece], style: Hashable, write: Callable[[EventFacts], str]
) -> list[str]:
    """The text of each piece, as `write` makes it; equal styles have equal writers."""
    if sum(map(len, _kept.values())) > MOST_KEPT:
        _kept.clear()
    kept = _kept.setdefault(style, {})
    found = []
    for piece in pieces:
        known = kept.get(piece.key)
        if known is None or known[0] != piece.version:
            known = kept[piece.key] = (piece.version, write(piece.facts()))
        found.append(known[1])
    return found


def forget() -> None:
    """Keep nothing: for tests and measurements."""
    _kept.clear()

"""The kinds of feeds. To add one (the menu), add a line to KINDS.

A kind says what it is about and gives its pieces for the days of a feed. Its key is kept in
the database and never changes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from household.feeds.breather_events import pieces_with_breathers
from household.feeds.models import Feed
from household.feeds.occasion_events import occasion_pieces, pieces_with_feasts
from household.feeds.request_events import request_pieces, request_todos
from household.feeds.shown import Piece, Shown
from household.feeds.task_events import task_pieces, written_pieces

Source = Callable[[Shown], Iterable[Piece]]


@dataclass(frozen=True, slots=True)
class Kind:
    """`needs` names the field that a feed of this kind has besides: "member", "area" or none.

    `todos` is None where nothing in it is to be done, so that it has no to-do address.
    """

    key: str
    words: str
    source: Source
    todos: Source | None = None
    needs: str = ""
    for_children: bool = False


MEMBER: Final = "member"
KINDS: Final[dict[str, Kind]] = {
    kind.key: kind
    for kind in (
        Kind(
            MEMBER,
            "One person’s tasks",
            pieces_with_breathers,
            written_pieces,
            needs="member",
            for_children=True,
        ),
        Kind("household", "Everybody’s tasks", pieces_with_breathers, written_pieces),
        Kind("area", "The tasks of one area", task_pieces, written_pieces, needs="area"),
        Kind("requests", "Requests", request_pieces, request_todos),
        Kind("occasions", "Birthdays and other occasions", occasion_pieces),
        Kind("feasts", "Occasions and public holidays", pieces_with_feasts),
    )
}


def about(feed: Feed) -> str:
    """What is in it, in a few words: "Marit", "Kitchen", "Everybody’s tasks"."""
    if feed.kind not in KINDS:
        return ""
    subject = getattr(feed, KINDS[feed.kind].needs, None) if KINDS[feed.kind].needs else None
    return f"{subject}’s tasks" if subject else KINDS[feed.kind].words

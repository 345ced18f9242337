"""Breathers and together time as events of the whole day. A private one is its owner's alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from household.breathers import queries
from household.breathers.models import Company, Offer
from household.breathers.saying import minutes_words, url_of, who_words
from household.calc.feed_events import EventFacts
from household.feeds.shown import Piece, Shown, home_id, sequence_of
from household.feeds.task_events import task_pieces

HIDDEN = "Time for ourselves"


def pieces_with_breathers(shown: Shown) -> Iterator[Piece]:
    """The tasks of one member or of everybody, and what the weeks offer besides."""
    yield from task_pieces(shown)
    yield from breather_pieces(shown)


def breather_pieces(shown: Shown) -> Iterator[Piece]:
    """Those of the feed's days, in one query; whichever day suits is no day of a calendar.

    A member's calendar has theirs for oneself, for two and for all; everybody's has the latter.
    """
    if not queries.has_any(shown.household, shown.first):
        return
    found = queries.standing(shown.household, shown.owner.pk)
    found = found.filter(day__range=(shown.first, shown.last))
    if shown.member_id is None:
        found = found.exclude(company=Company.ONESELF)
    else:
        found = queries.with_member(found, shown.member_id)
    home = home_id(shown.household)
    for offered in found.order_by("id"):
        who, of = who_words(offered), offered.breather
        version = (offered.sequence, offered.changed_at, of.pk, of.changed_at, who)
        yield Piece(("breather", offered.pk), version, _facts_of(shown, home, offered, who))


def _facts_of(shown: Shown, home: str, offered: Offer, who: str) -> Callable[[], EventFacts]:
    return lambda: _facts(shown, home, offered, who)


def _facts(shown: Shown, home: str, offered: Offer, who: str) -> EventFacts:
    of, hidden = offered.breather, shown.hide_titles
    url = shown.base + url_of(offered)
    changed_at = max(offered.changed_at, of.changed_at)
    named = of.name if offered.company == Company.ONESELF else f"{of.name} ({who})"
    told = [] if hidden else [minutes_words(of), "It is on offer: nothing is owed."]
    assert offered.day is not None
    return EventFacts(
        uid=f"b{offered.pk}@{home}.evenhouse",
        changed_at=changed_at,
        sequence=sequence_of(shown.household, changed_at, offered.sequence),
        summary=HIDDEN if hidden else named,
        day=offered.day,
        minutes=of.minutes or 0,
        description="\n".join([*(line for line in told if line), url]),
        url=url,
    )

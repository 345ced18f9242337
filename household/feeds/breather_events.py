"""Breathers and together time as events of the whole day. A private one is its owner's alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from household.breathers import queries
from household.breathers.models import Company, Offer
from household.breathers.saying import minutes_words, url_of, who_words
from household.calc.feed_events import EventFacts
from household.feeds.shown import Piece, Shown
from household.feeds.task_events import task_pieces
from household.feeds.wording import Wording


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
    wording = Wording(shown, "time for ourselves")
    for offered in found.order_by("id"):
        who, of = who_words(offered), offered.breather
        version = (offered.sequence, offered.changed_at, of.pk, of.changed_at, who)
        yield Piece(("breather", offered.pk), version, _facts_of(wording, shown.base, offered, who))


def _facts_of(wording: Wording, base: str, offered: Offer, who: str) -> Callable[[], EventFacts]:
    return lambda: _facts(wording, base, offered, who)


def _facts(wording: Wording, base: str, offered: Offer, who: str) -> EventFacts:
    of = offered.breather
    assert offered.day is not None
    return wording.event(
        f"b{offered.pk}",
        max(offered.changed_at, of.changed_at),
        offered.sequence,
        title=of.name if offered.company == Company.ONESELF else f"{of.name} ({who})",
        day=offered.day,
        minutes=of.minutes or 0,
        lines=[minutes_words(of), "It is on offer: nothing is owed."],
        url=base + url_of(offered),
    )

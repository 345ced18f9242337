"""Occasions, and public holidays if wished, as events of whole days. No gift ever stands here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Final

from django.urls import reverse

from household.calc.feed_events import EventFacts
from household.calc.holidays import public_holidays
from household.calc.occasions import between
from household.feeds.shown import Piece, Shown, home_id, sequence_of
from household.occasions import queries, wording
from household.occasions.listing import whom
from household.occasions.queries import Coming

# Birthdays are looked for further ahead than tasks: each is there once.
AHEAD: Final = timedelta(days=366)


def occasion_pieces(shown: Shown) -> Iterator[Piece]:
    """Each occasion on the days of the feed and the year ahead. Three queries."""
    leap = queries.leap_of(shown.household)
    for occasion in queries.occasions(shown.household).order_by("id"):
        version = (occasion.changed_at, occasion.sequence, whom(occasion))
        begun = shown.first - timedelta(days=occasion.lasts - 1)  # and still going on
        for falls in between(occasion.as_rule(), begun, shown.today + AHEAD, leap):
            yield Piece(
                ("occasion", occasion.pk, falls.year),
                (*version, falls.day),
                _facts(Coming(occasion, falls), shown),
            )


def pieces_with_feasts(shown: Shown) -> Iterator[Piece]:
    """The same, and the public holidays of the household's country and region."""
    yield from occasion_pieces(shown)
    home = shown.household
    region = home.subdivision or None
    days = public_holidays(home.country, region, shown.first, shown.today + AHEAD)
    place = f"{home.country}{home.subdivision}".lower()
    for day, name in days.items():
        yield Piece(("feast", home.pk, place, day), name, _feast(day, name, place, shown))


def _facts(each: Coming, shown: Shown) -> Callable[[], EventFacts]:
    def told() -> EventFacts:
        occasion, hidden = each.occasion, shown.hide_titles
        count = wording.count_words(occasion, each.falls)
        summary = ", ".join(part for part in (occasion.name, count) if part)
        at = [occasion.household_id, occasion.pk]
        url = shown.base + reverse("occasions:occasion", args=at)
        people = f"It concerns {whom(occasion)}." if whom(occasion) and not hidden else ""
        return EventFacts(
            uid=f"o{occasion.pk}-{each.falls.year}@{home_id(shown.household)}.evenhouse",
            changed_at=occasion.changed_at,
            sequence=sequence_of(shown.household, occasion.changed_at, occasion.sequence),
            summary="An occasion" if hidden else summary,
            day=each.falls.day,
            days=occasion.lasts,
            minutes=0,
            description="\n".join(part for part in (people, url) if part),
            category="" if hidden else str(occasion.get_kind_display()),
            url=url,
        )

    return told


def _feast(day: date, name: str, place: str, shown: Shown) -> Callable[[], EventFacts]:
    def told() -> EventFacts:
        return EventFacts(
            uid=f"h-{place}-{day:%Y%m%d}@{home_id(shown.household)}.evenhouse",
            changed_at=shown.household.created_at,
            sequence=0,
            summary=name,
            day=day,
            minutes=0,
            category="Public holiday",
        )

    return told

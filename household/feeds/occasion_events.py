"""Occasions, and public holidays if wished, as events of whole days. No gift ever stands here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Final

from django.urls import reverse

from household.calc.feed_events import EventFacts
from household.calc.holidays import public_holidays
from household.calc.occasions import between
from household.feeds.shown import Piece, Shown, home_id
from household.feeds.wording import Wording
from household.occasions import queries, wording
from household.occasions.listing import whom
from household.occasions.queries import Coming

# Birthdays are looked for further ahead than tasks: each is there once.
AHEAD: Final = timedelta(days=366)


def occasion_pieces(shown: Shown) -> Iterator[Piece]:
    """Each occasion on the days of the feed and the year ahead. Three queries."""
    leap, told = queries.leap_of(shown.household), Wording(shown, "an occasion")
    for occasion in queries.occasions(shown.household).order_by("id"):
        version = (occasion.changed_at, occasion.sequence, whom(occasion))
        begun = shown.first - timedelta(days=occasion.lasts - 1)  # and still going on
        for falls in between(occasion.as_rule(), begun, shown.today + AHEAD, leap):
            yield Piece(
                ("occasion", occasion.pk, falls.year),
                (*version, falls.day),
                _facts(Coming(occasion, falls), shown, told),
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


def _facts(each: Coming, shown: Shown, told: Wording) -> Callable[[], EventFacts]:
    def facts() -> EventFacts:
        occasion = each.occasion
        count = wording.count_words(occasion, each.falls)
        url = reverse("occasions:occasion", args=[occasion.household_id, occasion.pk])
        people = whom(occasion)
        return told.event(
            f"o{occasion.pk}-{each.falls.year}",
            occasion.changed_at,
            occasion.sequence,
            title=f"{occasion.name}, {count}" if count else occasion.name,
            day=each.falls.day,
            days=occasion.lasts,
            lines=[f"It concerns {people}." if people else ""],
            category=str(occasion.get_kind_display()),
            url=shown.base + url,
        )

    return facts


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

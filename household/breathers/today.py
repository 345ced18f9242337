"""What a day holds of breathers and together time: never late, and nothing to tick."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from household.breathers import queries
from household.breathers.models import Company, Offer
from household.breathers.saying import line_words, minutes_words, url_of, who_words
from household.people.models import Household, Member

MOST_ON_SCREEN = 4


@dataclass(frozen=True, slots=True)
class GoodLine:
    words: str
    url: str


def today_lines(member: Member, today: date) -> list[GoodLine]:
    """What this member's own Today says; one query, or none where nothing is on offer."""
    if not queries.has_any(member.household, today):
        return []
    found = queries.with_member(queries.standing(member.household, member), member.pk)
    return [GoodLine(line_words(each, member), url_of(each)) for each in found.filter(day=today)]


@dataclass(frozen=True, slots=True)
class ScreenLine:
    """One line of the shared screen: what it is, and whose, with their mark where it is one's."""

    name: str
    who: str
    minutes: str
    shape: str = ""
    hue: str = ""


def screen_lines(household: Household, today: date) -> list[ScreenLine]:
    """What everybody may read of this day; nothing private, and what is for most comes first.

    One query, or none.
    """
    if not queries.has_any(household, today):
        return []
    order = (Company.ALL, Company.TWO, Company.ONESELF)
    found = list(queries.standing(household, None).filter(day=today))
    found.sort(key=lambda each: order.index(Company(each.company)))
    return [_screen_line(each) for each in found[:MOST_ON_SCREEN]]


def _screen_line(each: Offer) -> ScreenLine:
    one = each.member if each.company == Company.ONESELF else None
    return ScreenLine(
        name=each.breather.name,
        who=who_words(each),
        minutes=minutes_words(each.breather),
        shape=one.shape if one else "",
        hue=one.hue if one else "",
    )

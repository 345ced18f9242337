"""What a day holds of breathers and together time: never late, and nothing to tick."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from household.breathers import queries
from household.breathers.models import Company
from household.breathers.saying import line_words, minutes_words, url_of, who_words
from household.people.models import Household, Member


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
    """What everybody may read of this day; nothing private. One query, or none."""
    if not queries.has_any(household, today):
        return []
    return [
        ScreenLine(
            each.breather.name,
            who_words(each),
            minutes_words(each.breather),
            each.member.shape if each.member and each.company == Company.ONESELF else "",
            each.member.hue if each.member and each.company == Company.ONESELF else "",
        )
        for each in queries.standing(household, None).filter(day=today)
    ]

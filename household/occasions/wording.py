"""Occasions in words: when they come round, how old somebody turns, where a lead job stands."""

from __future__ import annotations

from datetime import date
from typing import Final

from household.calc.names import DAYS, MONTHS
from household.calc.occasions import Falls, Side, Sort
from household.chores.models import State
from household.kit.dates import DateWords
from household.kit.words import listed
from household.occasions.models import NTHS, Occasion, OccasionKind
from household.occasions.queries import Lead
from household.people.models import Member

# What an occasion is called where nobody gave it a name.
CALLED: Final = {
    OccasionKind.BIRTHDAY: "{who}’s birthday",
    OccasionKind.ANNIVERSARY: "{who}’s anniversary",
    OccasionKind.NAME_DAY: "{who}’s name day",
}


def called(kind: str, concerns: list[Member], who: str) -> str:
    """A name from whom it concerns; empty where that makes none."""
    people = names([member.name for member in concerns], who)
    pattern = CALLED.get(OccasionKind(kind))
    return pattern.format(who=people)[:80] if pattern and people else ""


def rule_words(occasion: Occasion, words: DateWords) -> str:
    """ "Every year on 14 May", "The second Sunday of May", "39 days after Easter"."""
    sort = Sort(occasion.sort)
    if sort == Sort.EASTER:
        return _easter_words(occasion)
    if sort == Sort.NTH:
        nth, weekday = dict(NTHS)[occasion.nth], DAYS[occasion.weekday]
        return f"The {nth} {weekday} of {MONTHS[occasion.month - 1]}"
    date_words = words.short(date(2000, occasion.month, occasion.day))
    if sort == Sort.NEAR:
        side = "before" if occasion.side == Side.BEFORE else "after"
        return f"The {DAYS[occasion.weekday]} on or {side} {date_words}"
    if sort == Sort.ONCE and occasion.year:
        return words.full(date(occasion.year, occasion.month, occasion.day))
    return f"Every year on {date_words}"


def _easter_words(occasion: Occasion) -> str:
    feast = "Orthodox Easter" if occasion.orthodox else "Easter"
    if not occasion.offset:
        return f"{feast} Sunday"
    count = abs(occasion.offset)
    side = "after" if occasion.offset > 0 else "before"
    return f"{count} day{'' if count == 1 else 's'} {side} {feast}"


def count_words(occasion: Occasion, falls: Falls) -> str:
    """ "turns 8", "12 years"; empty where the year is not known or it counts nothing."""
    if occasion.year is None or occasion.sort == Sort.ONCE:
        return ""
    years = falls.year - occasion.year
    if occasion.kind == OccasionKind.BIRTHDAY:
        return f"turns {years}" if years else "the day of birth"
    if not years:
        return ""
    return f"{years} year{'' if years == 1 else 's'}"


def near_words(days: int) -> str:
    """What the number of days does not say; a day gone by is one that is still going on."""
    return "now" if days < 0 else ("today", "tomorrow", "")[min(days, 2)]


def names(members: list[str], who: str) -> str:
    return listed([*members, *([who] if who else [])])


def standing_words(lead: Lead, words: DateWords, today: date, *, dated: bool = True) -> str:
    """Where a lead job stands: who has it and by when, or what became of it.

    dated: False where its last day stands beside it already.
    """
    if lead.written is None:
        return f"from {words.near(lead.opens, today)}"
    task = lead.written.task
    if task.state == State.DONE:
        return f"done by {task.done_by}" if task.done_by else "done"
    if task.state == State.SKIPPED:
        return "left out this time"
    if task.state == State.LAPSED:
        return "let go"
    who = task.member.name if task.member else "for anyone"
    if task.closes < today:
        return f"{who}, still to do since {words.near(task.closes, today)}"
    if not dated and not task.day:
        return who
    day = task.day or task.closes
    on = words.near(day, today)
    return f"{who}, {on}" if task.day else f"{who}, by {on}"

"""Chores as the list and a chore's own page show them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Any

from django.urls import reverse

from household.calc.recurrence.controls import Missed as MissedRule
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.words import brief, missed_sentence, sentence
from household.chores import queries
from household.chores.estimating import usual_of
from household.chores.history import lines
from household.chores.models import Chore, Who
from household.chores.rows import LEVELS, caution
from household.kit.dates import DateWords
from household.people.models import Household, Member
from household.people.queries import members

WHO = {Who.TURNS: "in turn", Who.ANYONE: "for anyone"}


@dataclass(frozen=True, slots=True)
class Person:
    name: str
    shape: str
    hue: str


@dataclass(frozen=True, slots=True)
class ChoreRow:
    name: str
    url: str
    minutes: int
    level: str
    repeat_words: str
    next_words: str
    people: list[Person]
    who_words: str
    caution: bool
    archived: bool
    restore_url: str


@dataclass(frozen=True, slots=True)
class AreaGroup:
    name: str
    url: str
    rows: list[ChoreRow]


def groups(chores: Sequence[Chore], household: Household, today: date) -> list[AreaGroup]:
    """Chores under their areas; they must come in the areas' order."""
    people = {member.pk: member for member in members(household)}
    coming = queries.next_tasks(household, today)
    words = DateWords(household.date_order)
    return [
        AreaGroup(
            name=area.name,
            url="",
            rows=[_row(each, household, people, coming, words, today) for each in rows],
        )
        for area, rows in groupby(chores, key=lambda each: each.area)
    ]


def _row(
    chore: Chore,
    household: Household,
    people: dict[int, Member],
    coming: dict[int, date],
    words: DateWords,
    today: date,
) -> ChoreRow:
    at = [household.pk, chore.pk]
    due = coming.get(chore.pk) or chore.next_closes
    return ChoreRow(
        name=chore.name,
        url=reverse("chores:chore", args=at),
        minutes=chore.minutes,
        level=LEVELS.get(chore.level, ""),
        repeat_words=brief_words(chore, household),
        next_words=_next(due, words, today),
        people=[Person(member.name, member.shape, member.hue) for member in doers(chore, people)],
        who_words=WHO.get(Who(chore.who), ""),
        caution=bool(chore.caution or chore.hazards),
        archived=chore.archived_at is not None,
        restore_url=reverse("chores:restore", args=at) if chore.archived_at else "",
    )


def doers(chore: Chore, people: dict[int, Member]) -> list[Member]:
    """Whom the list names for a chore: the fixed person, the area's owner, or those in turn."""
    if chore.who == Who.FIXED:
        ids = [chore.fixed_id]
    elif chore.who == Who.OWNER:
        ids = [chore.area.owner_id]
    else:
        ids = list(chore.may)
    return [people[pk] for pk in ids if pk in people]


def brief_words(chore: Chore, household: Household) -> str:
    """The rhythm for the list; a rule that cannot be read any more says so."""
    try:
        return brief(chore.as_repeat(household.first_weekday))
    except RuleError:
        return "Its rule needs another look"


def rhythm_words(chore: Chore, household: Household, words: DateWords) -> str:
    """The rhythm as a sentence; a rule that cannot be read any more says so."""
    try:
        repeat = chore.as_repeat(household.first_weekday)
        return sentence(repeat, date_words=words.full)
    except RuleError as error:
        return f"Its rule needs another look: {error}"


def _next(due: date | None, words: DateWords, today: date) -> str:
    if due is None:
        return "none to come"
    near = words.near(due, today)
    return f"{near[0].upper()}{near[1:]}" if due >= today else f"since {near}"


def chore_page(chore: Chore, household: Household, now: datetime) -> dict[str, Any]:
    today, words = household.today(now), DateWords(household.date_order)
    people = {member.pk: member for member in members(household)}
    first, rest = caution(chore.caution, tuple(chore.hazards))
    at = [household.pk, chore.pk]
    return {
        "chore": chore,
        "rhythm": rhythm_words(chore, household, words),
        "missed": missed_sentence(MissedRule(chore.missed), chore.grace_days),
        "level": LEVELS.get(chore.level, "Tidy"),
        "doers": doers(chore, people),
        "who_words": WHO.get(Who(chore.who), ""),
        "caution_first": first,
        "caution_rest": rest,
        "tasks": queries.chore_tasks(chore, today),
        "last_done": words.near(chore.last_done_on, today) if chore.last_done_on else "",
        "usual": usual_of(chore, people.values(), today),
        "take_url": reverse("chores:take_minutes", args=[household.pk]),
        "history": lines(queries.chore_entries(chore)[:30], words, household.zone, today),
        "change_url": reverse("chores:change", args=at),
        "archive_url": reverse("chores:archive", args=at),
        "restore_url": reverse("chores:restore", args=at),
        "copy_url": reverse("chores:copy", args=at),
        "list_url": reverse("chores:list", args=[household.pk]),
    }

"""Members as the list of them shows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from household.calc.dangers import LICENCES
from household.kit.dates import DateWords
from household.kit.words import NARROW, listed
from household.people.absences import now_words
from household.people.models import AgeBand, Household, Member, Role, Skill


@dataclass(frozen=True, slots=True)
class MemberRow:
    """`url` and `restore_url` are empty for those who may not open or bring back the member."""

    name: str
    shape: str
    hue: str
    url: str
    role: str
    age: str
    share_words: str
    minutes_week: int
    skills: str
    away: str
    signs_in: bool
    archived: bool
    restore_url: str = ""


def member_rows(household: Household, today: date, urls: Mapping[int, str]) -> list[MemberRow]:
    """Those who live there now, in the order they came. Two queries, however many they are."""
    words = DateWords(household.date_order)
    people = list(
        Member.objects.filter(household=household, archived_at=None)
        .prefetch_related("absences")
        .order_by("id")
    )
    whole = sum(person.weight for person in people)
    return [
        _row(
            person,
            url=urls.get(person.pk, urls.get(0, "").replace("/0/", f"/{person.pk}/")),
            share=f"{round(100 * person.weight / whole)}{NARROW}%" if whole else "none agreed",
            away=now_words(person, words, today),
        )
        for person in people
    ]


def archived_rows(household: Household, restore_url: str) -> list[MemberRow]:
    """Those who lived there; `restore_url` has 0 in the place of the member's number."""
    people = Member.objects.filter(household=household, archived_at__isnull=False).order_by("id")
    return [
        _row(
            person,
            archived=True,
            away="Lives here no more",
            restore_url=restore_url.replace("/0/", f"/{person.pk}/"),
        )
        for person in people
    ]


def _row(
    person: Member,
    *,
    url: str = "",
    share: str = "",
    away: str = "",
    archived: bool = False,
    restore_url: str = "",
) -> MemberRow:
    skills = [LICENCES.get(skill) or str(Skill(skill).label) for skill in person.skills]
    return MemberRow(
        name=person.name,
        shape=person.shape,
        hue=person.hue,
        url=url,
        role=str(Role(person.role).label).partition(":")[0],
        age=str(AgeBand(person.age_band).label).lower(),
        share_words=share,
        minutes_week=sum(person.free_minutes),
        skills=listed([skill.lower() for skill in skills]).capitalize(),
        away=away,
        signs_in=person.account_id is not None,
        archived=archived,
        restore_url=restore_url,
    )

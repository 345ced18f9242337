"""Occasions as pages show them: words ready, addresses ready."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.urls import reverse

from household.calc.holidays import public_holidays
from household.calc.names import DAYS
from household.chores.models import State
from household.kit.dates import DateWords
from household.occasions import queries, wording
from household.occasions.models import Gift, Occasion
from household.occasions.queries import Coming, Lead
from household.people.models import Household, Member
from household.people.queries import members

SOON = timedelta(days=60)
MOST_FEASTS = 4


@dataclass(frozen=True, slots=True)
class LeadLine:
    """`url` is its task's page, empty where there is none yet."""

    name: str
    words: str
    url: str
    done: bool
    late: bool


@dataclass(frozen=True, slots=True)
class OccasionRow:
    """`days` is empty while it is going on; `marks` are (shape, hue) of whom it concerns."""

    id: int
    name: str
    url: str
    days: str
    when: str
    sub: str
    marks: Sequence[tuple[str, str]]
    is_today: bool
    leads: Sequence[LeadLine] = ()


@dataclass(frozen=True, slots=True)
class Viewer:
    """Who looks, on which day, and who lives there: what decides what is shown, and how."""

    member: Member
    today: date
    words: DateWords
    living: Collection[int]

    def sees(self, lead: Lead) -> bool:
        return queries.sees_job(lead.job, lead.occasion, self.member.pk, self.living)


def viewer_of(member: Member, today: date) -> Viewer:
    household = member.household
    living = frozenset(members(household).values_list("pk", flat=True))
    return Viewer(member, today, DateWords(household.date_order), living)


def url_of(name: str, row: Any) -> str:
    return reverse(f"occasions:{name}", args=[row.household_id, row.pk])


def rows(days: Iterable[Coming], leads: Iterable[Lead], viewer: Viewer) -> list[OccasionRow]:
    by_day: dict[tuple[int, int], list[LeadLine]] = {}
    for lead in leads:
        if viewer.sees(lead):
            key = (lead.occasion.pk, lead.falls.year)
            by_day.setdefault(key, []).append(lead_line(lead, viewer))
    return [
        row_of(each, viewer, by_day.get((each.occasion.pk, each.falls.year), ())) for each in days
    ]


def row_of(each: Coming, viewer: Viewer, leads: Sequence[LeadLine] = ()) -> OccasionRow:
    occasion, day = each.occasion, each.falls.day
    away = (day - viewer.today).days
    count = wording.count_words(occasion, each.falls)
    last = day + timedelta(days=occasion.lasts - 1)
    until = f"until {viewer.words.short(last)}" if last != day else ""
    when = day_words(day, viewer.today, viewer.words)
    return OccasionRow(
        id=occasion.pk,
        name=occasion.name,
        url=url_of("occasion", occasion),
        days=str(away) if away >= 0 else "",
        when=", ".join(part for part in (when, until) if part),
        sub=", ".join(part for part in (wording.near_words(away), count) if part),
        marks=[(member.shape, member.hue) for member in occasion.concerns.all()],
        is_today=away <= 0,
        leads=leads,
    )


def day_words(day: date, today: date, words: DateWords) -> str:
    """Saturday 19 December, or with its year where that is another one."""
    if day.year == today.year:
        return words.day(day)
    return f"{DAYS[day.weekday()]} {words.full(day)}"


def lead_line(lead: Lead, viewer: Viewer, *, dated: bool = True) -> LeadLine:
    task = lead.written.task if lead.written else None
    open_one = task is not None and task.state == State.OPEN
    return LeadLine(
        name=lead.job.name,
        words=wording.standing_words(lead, viewer.words, viewer.today, dated=dated),
        url=reverse("web:task", args=[lead.occasion.household_id, task.pk]) if task else "",
        done=task is not None and task.state == State.DONE,
        late=bool(open_one and task and task.is_late(viewer.today)),
    )


def list_page(household: Household, member: Member, today: date) -> dict[str, Any]:
    """What is coming up: the next weeks with their lead jobs, the rest of a year without."""
    viewer = viewer_of(member, today)
    found = list(queries.occasions(household))
    days = queries.coming(found, today, queries.leap_of(household))
    soon = [each for each in days if each.falls.day - today <= SOON]
    leads = queries.leads(soon, queries.jobs_of(household), queries.written(found))
    later = [each for each in days if each.falls.day - today > SOON]
    over = [each for each in found if each.pk not in {day.occasion.pk for day in days}]
    return {
        "soon": rows(soon, leads, viewer),
        "later": rows(later, (), viewer),
        "feasts": feasts(household, today, viewer.words),
        "over": [{"name": each.name, "url": url_of("occasion", each)} for each in over],
        "archived": [
            {"name": each.name, "restore_url": url_of("restore", each)}
            for each in queries.occasions(household, archived=True).order_by("name", "id")
        ],
    }


@dataclass(frozen=True, slots=True)
class FeastLine:
    name: str
    when: str


def feasts(household: Household, today: date, words: DateWords) -> list[FeastLine]:
    """The next public holidays of the household's country and region."""
    found = public_holidays(
        household.country, household.subdivision or None, today, today + timedelta(days=366)
    )
    return [
        FeastLine(name, day_words(day, today, words))
        for day, name in list(found.items())[:MOST_FEASTS]
    ]


# Gifts ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class GiftRow:
    id: int
    idea: str
    whom: str
    sub: str
    url: str
    give_url: str


def gift_rows(found: Iterable[Gift]) -> list[GiftRow]:
    return [_gift(gift) for gift in found]


def _gift(gift: Gift) -> GiftRow:
    cost = f"{gift.cost:.2f}".removesuffix(".00") if gift.cost is not None else ""
    given = f"given in {gift.given}" if gift.given else ""
    return GiftRow(
        id=gift.pk,
        idea=gift.idea,
        whom=whom(gift),
        sub=", ".join(part for part in (given, cost and f"costs {cost}", gift.note) if part),
        url=url_of("gift", gift),
        give_url="" if gift.given else url_of("give", gift),
    )


def whom(row: Gift | Occasion) -> str:
    """Those whom a gift is for, or whom an occasion concerns."""
    people = row.members.all() if isinstance(row, Gift) else row.concerns.all()
    return wording.names([member.name for member in people], row.who)

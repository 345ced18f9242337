"""One person's day, put together for the Today page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.urls import reverse

from household import daily
from household.calc import free_time
from household.calc.history import week_of
from household.chores.models import State
from household.chores.queries import Other, others, sections, today_values
from household.chores.rows import RowMaker
from household.kit.dates import DateWords
from household.people.models import Household, Member
from household.people.queries import absences_of

STALE = (
    "The daily job has not run since {when}, so the lists may be short. "
    "Is the hub’s own clockwork on? Opening this page has made today’s list."
)


@dataclass(frozen=True, slots=True)
class OtherLink:
    other: Other
    url: str

    @property
    def name(self) -> str:
        return self.other.name

    @property
    def shape(self) -> str:
        return self.other.shape

    @property
    def hue(self) -> str:
        return self.other.hue

    @property
    def count(self) -> int:
        return self.other.count

    @property
    def minutes(self) -> int:
        return self.other.minutes


def row_maker(household: Household, today: date) -> RowMaker:
    return RowMaker(
        base=reverse("web:task", args=[household.pk, 0]).removesuffix("0/"),
        today=today,
        zone=household.zone,
        words=DateWords(household.date_order),
    )


def day_page(household: Household, member: Member, owner: Member, now: datetime) -> dict[str, Any]:
    """The context of the whole Today page, of `owner` as `member` sees it."""
    today = household.today(now)
    words = DateWords(household.date_order)
    last = week_of(today, household.first_weekday)[1]
    values = today_values(household, owner, today)
    return {
        **day_sum(values, owner, today),
        "day_words": words.day(today),
        "owner": owner,
        "own": owner.pk == member.pk,
        "sections": sections(
            values, owner, row_maker(household, today), f"by {words.near(last, today)}"
        ),
        "others": [
            OtherLink(other, reverse("web:today_of", args=[household.pk, other.id]))
            for other in others(household, owner, today)
        ],
        "today_url": reverse("web:today", args=[household.pk]),
        "add_url": reverse("web:add", args=[household.pk]),
    }


def day_sum(values: Iterable[dict[str, Any]], owner: Member, today: date) -> dict[str, Any]:
    """Minutes to go today (any-day tasks without a day left out) and minutes free."""
    to_go = sum(
        value["minutes"]
        for value in values
        if value["state"] == State.OPEN
        and value["member_id"] == owner.pk
        and (value["closes"] <= today or (value["day"] is not None and value["day"] <= today))
    )
    free = free_time.free_minutes(today, owner.free_minutes, absences_of(owner))
    return {"minutes_to_go": to_go, "minutes_free": free}


def refreshed_sum(household: Household, owner: Member, now: datetime) -> dict[str, Any]:
    today = household.today(now)
    return day_sum(today_values(household, owner, today), owner, today)


def banner(household: Household, member: Member, was: datetime | None, now: datetime) -> str:
    """Organisers learn when the daily job has stood still; `was` is its last run before now."""
    if not member.organises or was is None or now - was <= daily.STALE_AFTER:
        return ""
    when = DateWords(household.date_order).near(household.today(was), household.today(now))
    return STALE.format(when=when)

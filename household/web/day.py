"""One person's day, put together for the Today page."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from django.template.loader import render_to_string
from django.urls import reverse

from household import daily
from household.breathers.today import today_lines
from household.calc import free_time
from household.calc.busy import free_after
from household.calc.history import week_of
from household.calc.holidays import public_holidays
from household.chores.hiding import is_hidden
from household.chores.queries import (
    day_values,
    is_due,
    is_of,
    sections,
)
from household.chores.rows import RowMaker
from household.feeds.happening import day_of
from household.kit.dates import DateWords
from household.occasions.days import OnDay, on_day
from household.people.models import Household, Member
from household.people.queries import everybody
from household.web.keeping import Kept, kept_day, list_version
from household.web.swap_views import swap_lines

STALE = (
    "The daily job has not run since {when}, so the lists may be short. "
    "Is the hub’s own clockwork on? Opening this page has made today’s list."
)


@dataclass(frozen=True, slots=True)
class OtherLink:
    """Another member, how many tasks they have to do today, and the way to their list."""

    name: str
    shape: str
    hue: str
    count: int
    url: str


@lru_cache(maxsize=2000)
def _way(name: str, *ids: int) -> str:
    """The address of that name; with a last id of 0, what stands before that id."""
    return reverse(name, args=ids).removesuffix("/0/")


def row_maker(household: Household, today: date) -> RowMaker:
    return RowMaker(
        base=f"{_way('web:task', household.pk, 0)}/",
        today=today,
        zone=household.zone,
        words=DateWords(household.date_order),
    )


def day_page(household: Household, member: Member, owner: Member, now: datetime) -> dict[str, Any]:
    """The context of the Today page, of `owner` as `member` sees it."""
    today = household.today(now)
    own = owner.pk == member.pk
    return {
        "day_words": DateWords(household.date_order).day(today),
        "owner": owner,
        "own": own,
        "version": list_version(household, owner.pk, own, today),
        **kept_day(household, owner.pk, own, today, lambda: _day(household, owner, own, today)),
        "add_url": _way("web:add", household.pk),
    }


def _day(household: Household, owner: Member, own: bool, today: date) -> Kept:
    """What Today is made of and is kept until something changes: fragments and two figures."""
    words = DateWords(household.date_order)
    last = week_of(today, household.first_weekday)[1]
    members, absences = everybody(household, absences_of=owner.pk)
    values = day_values(household, today, members)
    due = [value for value in values if is_due(value, today)]
    counts = Counter(value["member_id"] for value in due)
    to_go = sum(value["minutes"] for value in due if value["member_id"] == owner.pk)
    # A list that others look at too has nothing that is kept from anybody.
    reader = owner.pk if own else None
    listed = sections(
        [
            value
            for value in values
            if is_of(value, owner) and not is_hidden(value["limits"], reader)
        ],
        owner,
        row_maker(household, today),
        f"by {words.near(last, today)}",
    )
    url = _way("web:today_of", household.pk, 0)
    links = [
        OtherLink(each.name, each.shape, each.hue, counts[each.pk], f"{url}/{each.pk}/")
        for each in members
        if each.archived_at is None and each.pk != owner.pk
    ]
    calendars = day_of(household, owner.pk, today)
    free = free_after(free_time.free_minutes(today, owner.free_minutes, absences), calendars.busy)
    figures = {"minutes_to_go": to_go, "minutes_free": free}
    good = today_lines(owner, today) if own else []
    context = {
        "sections": listed,
        "others": links,
        "owner": owner,
        "own": own,
        **figures,
    }
    swaps = swap_lines(owner, today) if own else []
    return {
        **figures,
        "swaps": render_to_string("web/_swaps.html", {"swaps": swaps}),
        "on_today": on_today(household, today),
        "list": render_to_string("web/_today_list.html", context),
        "on": render_to_string("web/_on.html", {"on": calendars.on}) if calendars.on else "",
        "good": render_to_string("breathers/_today.html", {"good": good}) if good else "",
        "others": render_to_string("web/_others.html", context) if links else "",
    }


def on_today(household: Household, today: date) -> list[OnDay]:
    """Occasions and the public holiday of the day."""
    feasts = public_holidays(household.country, household.subdivision or None, today, today)
    found = on_day(household, today)
    return [*found, *(OnDay(name, "") for name in feasts.values())]


def banner(household: Household, member: Member, was: datetime | None, now: datetime) -> str:
    """Organisers learn when the daily job has stood still; `was` is its last run before now."""
    if not member.organises or was is None or now - was <= daily.STALE_AFTER:
        return ""
    when = DateWords(household.date_order).near(household.today(was), household.today(now))
    return STALE.format(when=when)

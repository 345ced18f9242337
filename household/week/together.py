"""Breathers and together time in a week: where they stand, other days for them, settling."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.urls import reverse

from household.breathers import actions, queries
from household.breathers.models import Offer
from household.breathers.saying import line_words, url_of
from household.calc.breathers import USUAL_MINUTES, shared_days
from household.kit.dates import DAYS
from household.people.models import Member
from household.week.extras import DayLine, ExtraRow
from household.week.queries import Week
from household.week.rooms import in_it, least_at_home, place, rooms_of, use_up


def together_of(week: Week, viewer: Member) -> dict[str, Any]:
    """For the week's page, as this viewer may see it: a row of its table, and what has no day."""
    by_day: dict[date | None, list[DayLine]] = defaultdict(list)
    found = queries.standing(week.household, viewer).filter(starts=week.first)
    for offered in found:
        by_day[offered.day].append(DayLine(line_words(offered, viewer), url_of(offered)))
    cells: list[Sequence[DayLine]] = [by_day.get(day, []) for day in week.days]
    return {
        "together_row": ExtraRow("For ourselves", cells) if any(cells) else None,
        "any_day_together": by_day[None],
        "good_url": reverse("breathers:list", args=[week.household.pk]),
    }


@dataclass(frozen=True, slots=True)
class DayChoice:
    """A day that an offer may be put on, and what room there is then."""

    day: date
    name: str
    words: str
    chosen: bool
    fits: bool


def day_choices(offered: Offer, week: Week) -> list[DayChoice]:
    """The days of its week that are not over, on which those who are in it are at home."""
    rooms = rooms_of(week)
    days = [day for day in week.days if day >= week.today]
    shared = shared_days([rooms[pk] for pk in in_it(offered, week.members)], days)
    wanted = offered.breather.minutes or USUAL_MINUTES
    return [
        DayChoice(
            day=each.day,
            name=f"{DAYS[each.day.weekday()]} {each.day.day}",
            words="" if each.minutes is None else f"{each.minutes} min of room",
            chosen=each.day == offered.day,
            fits=each.fits(wanted),
        )
        for each in shared
        if each.at_home >= least_at_home(offered)
    ]


def place_again(week: Week, now: datetime) -> None:
    """After settling: a new day for what nobody put somewhere by hand and is still to come."""
    rooms = rooms_of(week)
    days = [day for day in week.days if day >= week.today]
    coming = Offer.objects.filter(household=week.household, starts=week.first, left_out=False)
    found = list(coming.select_related("breather").order_by("id"))
    for offered in found:
        if offered.by_hand:
            use_up(offered, week.members, rooms)
    for offered in found:
        if not offered.by_hand and (offered.day is None or offered.day >= week.today):
            day = place(offered, week.members, rooms, days)
            actions.choose_day(offered=offered, day=day, now=now, by_hand=False)
            use_up(offered, week.members, rooms)

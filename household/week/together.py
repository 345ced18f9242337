"""Breathers and together time in a week: where they stand, other days for them, settling."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.urls import reverse

from household.breathers import actions, queries
from household.breathers.models import Offer
from household.breathers.saying import line_words, url_of
from household.calc.names import DAYS
from household.kit.words import listed
from household.people.models import Member
from household.week.extras import DayLine, ExtraRow
from household.week.queries import Week
from household.week.rooms import in_it, least_at_home, place, rooms_of, use_up


def together_of(week: Week, viewer: Member) -> dict[str, Any]:
    """For the week's page, as this viewer may see it: a row of its table, and what has no day."""
    by_day: dict[date | None, list[DayLine]] = defaultdict(list)
    found = queries.standing(week.household, viewer).filter(starts=week.first)
    for offered in found:
        private = offered.breather.private
        line = DayLine(line_words(offered, viewer), url_of(offered), private)
        by_day[offered.day].append(line)
    cells: list[Sequence[DayLine]] = [by_day.get(day, []) for day in week.days]
    return {
        "together_row": ExtraRow("For ourselves", cells) if any(cells) else None,
        "any_day_together": by_day[None],
        "good_url": reverse("breathers:list", args=[week.household.pk]),
    }


@dataclass(frozen=True, slots=True)
class DayChoice:
    """A day that an offer may be put on, and who has room then."""

    day: date
    name: str
    words: str
    chosen: bool


def day_choices(offered: Offer, week: Week) -> list[DayChoice]:
    """The days of its week that are not over, on which those who are in it are at home."""
    rooms = rooms_of(week)
    people = [member for member in week.members if member.pk in in_it(offered, week.members)]
    found = []
    for day in week.days:
        here = [member for member in people if not rooms[member.pk][day].away]
        if day >= week.today and len(here) >= least_at_home(offered):
            left = {member.name: rooms[member.pk][day].minutes for member in here}
            name = f"{DAYS[day.weekday()]} {day.day}"
            found.append(DayChoice(day, name, _room_words(left), day == offered.day))
    return found


def _room_words(left: Mapping[str, int | None]) -> str:
    """What is left of a day, by name: "45 min of room", "room for Marit and Dev", "full"."""
    planned = {name: minutes for name, minutes in left.items() if minutes is not None}
    having = [name for name, minutes in planned.items() if minutes]
    if not having:
        return "full" if planned else ""
    if len(left) == 1:
        return f"{planned[having[0]]} min of room"
    return "room for everybody" if len(having) == len(left) else f"room for {listed(having)}"


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

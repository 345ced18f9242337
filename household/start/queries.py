"""What a household is offered: its country's habits, who and what is there, the time it has."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from django.conf import settings
from django.db.models import Sum

from household.areas.models import Area
from household.calc import regions, spreading, whereabouts
from household.chores.models import State, Task
from household.people.habits import Habits, usual_habits
from household.people.models import Household, Member
from household.people.queries import members

SOMEWHERE = "GB"  # where a browser tells nothing


def usual_here(*, country: str, zone: str, languages: str) -> Habits:
    """The habits to begin with. country: one that was chosen, or "" to guess it from the
    browser's time zone, and failing that from its languages (an Accept-Language header)."""
    tags = whereabouts.accepted(languages)
    known = {code for code, _ in regions.countries()}
    guessed = whereabouts.country_of_zone(zone) or whereabouts.country_of_languages(tags)
    code = country if country in known else guessed or SOMEWHERE
    usual = usual_habits("", code)
    spoken = [language for language, _ in settings.LANGUAGES]
    return replace(
        usual,
        time_zone=zone if zone in regions.zones(code) else usual.time_zone,
        language=whereabouts.language_for(tags, spoken, usual.language),
    )


def living_here(household: Household) -> list[Member]:
    return list(members(household))


def areas_here(household: Household) -> list[Area]:
    found = Area.objects.filter(household=household, archived_at=None)
    return list(found.select_related("owner").order_by("position", "id"))


def minutes_by_day(household: Household, today: date) -> dict[date, int]:
    """Minutes that the days of the next eight weeks already ask for."""
    tasks = Task.objects.filter(
        household=household,
        state=State.OPEN,
        closes__gte=today,
        closes__lt=today + timedelta(days=spreading.SPAN),
    )
    return dict(tasks.order_by().values_list("closes").annotate(Sum("minutes")))


def free_together(people: Iterable[Member]) -> list[int]:
    """Minutes of everybody for each weekday, Monday first."""
    weeks = [member.free_minutes for member in people]
    return [sum(week[day] for week in weeks) for day in range(7)]

"""Reading areas."""

from __future__ import annotations

from datetime import date

from django.db.models import QuerySet

from household.areas.models import Area, Spotlight
from household.people.models import Household


def areas(household: Household, *, archived: bool = False) -> QuerySet[Area]:
    """The parts of the home in their order; the ones put away instead when asked for."""
    return (
        Area.objects.filter(household=household, archived_at__isnull=not archived)
        .select_related("owner")
        .order_by("position", "id")
    )


def spotlight(household: Household, day: date) -> Spotlight | None:
    """The spotlight of the month that holds this day."""
    return (
        Spotlight.objects.select_related("area")
        .filter(household=household, month=day.replace(day=1), area__archived_at=None)
        .first()
    )

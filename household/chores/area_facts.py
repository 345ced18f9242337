"""What chores and their history say of areas. Two queries, however many areas there are."""

from __future__ import annotations

from datetime import date

from django.db.models import Count, Max

from household.areas.models import Area
from household.chores.models import Chore, State, Task
from household.people.models import Household


def standing_chores(household: Household) -> dict[int, int]:
    """How many chores each area has, by area id; those without any are left out."""
    rows = Chore.objects.filter(household=household, archived_at=None).order_by()
    return dict(rows.values_list("area_id").annotate(count=Count("id")))


def last_done(household: Household) -> dict[tuple[int, str], date]:
    """The day on which something of each level was last done, by area id and level."""
    done = Task.objects.filter(household=household, state=State.DONE, area__isnull=False)
    rows = done.order_by().values_list("area_id", "level").annotate(last=Max("done_on"))
    return {(area, level): day for area, level, day in rows if area is not None and day}


def chores_in(area: Area) -> int:
    return Chore.objects.filter(area=area, archived_at=None).count()

"""What chores and their history say of areas. Two queries, however many areas there are."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

from household.areas.models import Area, CareLevel
from household.chores.models import Chore, State, Task
from household.people.models import Household, WorkKind


def standing_chores(household: Household) -> dict[int, int]:
    """How many chores each area has, by area id; those without any are left out."""
    rows = Chore.objects.filter(household=household, archived_at=None).order_by()
    return dict(rows.values_list("area_id").annotate(count=Count("id")))


# A deeper level also does what the lighter ones ask for.
REACHED_BY = {
    CareLevel.TIDY: (CareLevel.TIDY, CareLevel.CLEAN, CareLevel.DEEP),
    CareLevel.CLEAN: (CareLevel.CLEAN, CareLevel.DEEP),
    CareLevel.DEEP: (CareLevel.DEEP,),
}
# Cooking in it or paying bills there does not make a kitchen tidy.
CARE = (WorkKind.TIDYING, WorkKind.CLEANING)


def last_done(household: Household) -> dict[tuple[int, str], date]:
    """The day on which each level was last reached, by area id and level; never is left out.

    One query: each level of each area is one step into the index by area, however long the past.
    """
    areas = Area.objects.filter(household=household, archived_at=None).order_by()
    for level in CareLevel:
        areas = areas.annotate(**{f"{level.value}_on": Subquery(_last_of(level))})
    found: dict[tuple[int, str], date] = {}
    for row in areas.values("id", *[f"{level.value}_on" for level in CareLevel]):
        for level, deeper in REACHED_BY.items():
            days = [row[f"{each.value}_on"] for each in deeper]
            if any(days):
                found[row["id"], level.value] = max(day for day in days if day is not None)
    return found


def _last_of(level: CareLevel) -> QuerySet[Task, Any]:
    # That the day is there is what the index asks: SQLite does not see it in the state.
    done = Task.objects.filter(
        area=OuterRef("pk"),
        state=State.DONE,
        level=level,
        kind__in=CARE,
        done_on__isnull=False,
    )
    return done.order_by("-done_on").values("done_on")[:1]


def chores_in(area: Area) -> int:
    return Chore.objects.filter(area=area, archived_at=None).count()

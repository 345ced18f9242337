"""What chores and their history say of areas. Two queries, however many areas there are."""

from __future__ import annotations

from collections.abc import Sequence
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

    One query: each level of each area is one step into the index by area.
    """
    areas = Area.objects.filter(household=household, archived_at=None).order_by()
    for level, levels in REACHED_BY.items():
        areas = areas.annotate(**{f"{level.value}_on": Subquery(_last_of(levels))})
    rows = areas.values("id", *[f"{level.value}_on" for level in REACHED_BY])
    return {
        (row["id"], level.value): row[f"{level.value}_on"]
        for row in rows
        for level in REACHED_BY
        if row[f"{level.value}_on"] is not None
    }


def _last_of(levels: Sequence[str]) -> QuerySet[Task, Any]:
    done = Task.objects.filter(
        area=OuterRef("pk"), state=State.DONE, level__in=levels, kind__in=CARE
    )
    return done.order_by("-done_on").values("done_on")[:1]


def chores_in(area: Area) -> int:
    return Chore.objects.filter(area=area, archived_at=None).count()

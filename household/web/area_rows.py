"""Areas as the list of them shows them: whose, how many chores, when each level was last done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from household.areas.models import Area, CareLevel, Spotlight
from household.areas.queries import areas
from household.calc.names import MONTHS
from household.chores.area_facts import last_done, standing_chores
from household.people.models import Household, Member

LEVEL_NAMES = [str(level.label) for level in CareLevel]


@dataclass(frozen=True, slots=True)
class LevelCell:
    """`days_ago` in words ("2", "today", "never"); `of` the days set, or empty."""

    name: str
    days_ago: str
    of: str
    past: bool


@dataclass(frozen=True, slots=True)
class AreaRow:
    """Addresses are empty for those who may not go there or change the order."""

    id: int
    name: str
    owner: Member | None
    chores: int
    levels: list[LevelCell]
    spotlight: bool
    url: str = ""
    chores_url: str = ""
    up_url: str = ""
    down_url: str = ""


def month_words(day: date) -> str:
    return MONTHS[day.month - 1]


def area_rows(
    household: Household, today: date, spotlight: Spotlight | None, *, may_change: bool
) -> list[AreaRow]:
    listed = list(areas(household))
    counts, done = standing_chores(household), last_done(household)
    last = len(listed) - 1
    rows = []
    for at, area in enumerate(listed):
        urls: dict[str, str] = {}
        if may_change:
            urls = {
                "url": reverse("areas:area", args=[household.pk, area.pk]),
                **_neighbours(area, at, last),
                "chores_url": f"{reverse('chores:list', args=[household.pk])}?area={area.pk}",
            }
        rows.append(
            AreaRow(
                id=area.pk,
                name=area.name,
                owner=area.owner,
                chores=counts.get(area.pk, 0),
                levels=[
                    _cell(area, level, done.get((area.pk, level)), today) for level in CareLevel
                ],
                spotlight=spotlight is not None and spotlight.area_id == area.pk,
                **urls,
            )
        )
    return rows


def place_urls(area: Area) -> dict[str, str]:
    """Where one area goes up and down, for its own page: on a phone the list has no room."""
    order = list(areas(area.household).values_list("pk", flat=True))
    return _neighbours(area, order.index(area.pk), len(order) - 1)


def _neighbours(area: Area, at: int, last: int) -> dict[str, str]:
    return {
        "up_url": _place_url(area, at - 1) if at > 0 else "",
        "down_url": _place_url(area, at + 1) if at < last else "",
    }


def _place_url(area: Area, place: int) -> str:
    return reverse("areas:place", args=[area.household_id, area.pk, place])


def _cell(area: Area, level: CareLevel, done_on: date | None, today: date) -> LevelCell:
    rhythm: int | None = getattr(area, f"{level}_days")
    ago = None if done_on is None else (today - done_on).days
    return LevelCell(
        name=str(level.label),
        days_ago="never" if ago is None else str(ago) if ago > 0 else "today",
        of=str(rhythm or ""),
        # What was never ticked here may well have been done: it is not called past its rhythm.
        past=ago is not None and rhythm is not None and ago > rhythm,
    )

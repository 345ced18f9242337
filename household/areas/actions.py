"""Changing areas. Whether chores stand in the way is asked by the rooms above."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import Max

from household.areas.models import Area, Spotlight
from household.areas.queries import areas
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.actions import touch_household
from household.people.models import Household, Member


@dataclass(frozen=True, slots=True)
class Description:
    """What is said of an area. `*_days`: after how many days a level is past its rhythm."""

    name: str
    owner: Member | None = None
    floor_area_m2: Decimal | None = None
    tidy_days: int | None = None
    clean_days: int | None = None
    deep_days: int | None = None

    def as_fields(self) -> dict[str, object]:
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@writes
def add_area(*, household: Household, description: Description) -> Area:
    """A new area at the end of the list. Names are used once, so nothing is added twice."""
    last = areas(household).aggregate(last=Max("position"))["last"]
    area = Area(
        household=household,
        position=0 if last is None else last + 1,
        **description.as_fields(),
    )
    _save(area)
    touch_household(household.pk)
    return area


@writes
def change_area(*, area: Area, description: Description) -> frozenset[str]:
    """Change what is said of an area; returns the names of the fields that changed."""
    fields = description.as_fields()
    changed = frozenset(name for name in fields if getattr(area, name) != fields[name])
    if changed:
        for name in changed:
            setattr(area, name, fields[name])
        _save(area, changed)
        touch_household(area.household_id)
    return changed


@writes
def place_area(*, area: Area, place: int) -> None:
    """Put an area at a place in the order, counted from 0. Sent twice, it stays there."""
    order = list(areas(area.household))
    if area not in order:
        raise Refused(f"Bring back “{area}” first.")
    before = [each.pk for each in order]
    order.remove(area)
    order.insert(max(0, min(place, len(order))), area)
    moved = [each for position, each in enumerate(order) if each.position != position]
    for position, each in enumerate(order):
        each.position = position
    Area.objects.bulk_update(moved, ["position"])
    if [each.pk for each in order] != before:
        touch_household(area.household_id)


@writes
def archive_area(*, area: Area, now: datetime) -> None:
    """Put an area away, and out of the spotlight from this month on."""
    if area.archived_at is not None:
        return
    area.archived_at = now
    area.save(update_fields=["archived_at"])
    month = area.household.today(now).replace(day=1)
    Spotlight.objects.filter(area=area, month__gte=month).delete()
    touch_household(area.household_id)


@writes
def restore_area(*, area: Area) -> None:
    """Bring an area back, at the end of the list."""
    if area.archived_at is None:
        return
    last = areas(area.household).aggregate(last=Max("position"))["last"]
    area.archived_at = None
    area.position = 0 if last is None else last + 1
    _save(area, {"archived_at", "position"})
    touch_household(area.household_id)


@writes
def set_spotlight(*, household: Household, month: date, area: Area | None) -> None:
    """The one area of a month that gets extra attention; None takes the spotlight away."""
    first = month.replace(day=1)
    if area is None:
        Spotlight.objects.filter(household=household, month=first).delete()
    else:
        Spotlight.objects.update_or_create(
            household=household, month=first, defaults={"area": area}
        )
    touch_household(household.pk)


@writes
def give_up_areas(*, member: Member) -> int:
    """The areas of somebody who left are nobody's for now; returns how many they were."""
    return Area.objects.filter(household=member.household, owner=member).update(owner=None)


def _save(area: Area, fields: frozenset[str] | set[str] | None = None) -> None:
    same = areas(area.household).filter(name__iexact=area.name).exclude(pk=area.pk)
    if area.archived_at is None and same.exists():
        raise Refused(f"There is an area called “{area.name}” already.", field="name")
    try:
        with transaction.atomic():
            area.save(update_fields=fields)
    except IntegrityError:
        # Somebody else made it between the question and the answer.
        raise Refused(f"There is an area called “{area.name}” already.", field="name") from None

"""The demo's occasions and gifts, told through the room's own actions."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from household.calc.occasions import Sort
from household.occasions import actions, giving
from household.occasions.actions import Wanted
from household.occasions.giving import Present
from household.occasions.models import Occasion

if TYPE_CHECKING:
    from household.demo.load import Loaded


def write_occasions(made: Loaded, data: dict[str, Any], now: datetime) -> None:
    """Occasions dated relative to today, and the gifts that somebody thought of."""
    found = {each["key"]: _occasion(made, each, now) for each in data["occasions"]}
    for each in data["gifts"]:
        years_ago = each["years_ago"]
        giving.add_gift(
            household=made.household,
            actor=made.members[each["by"]],
            occasion=found.get(each["occasion"] or ""),
            present=Present(
                {
                    "idea": each["idea"],
                    "cost": Decimal(each["cost"]) if each["cost"] else None,
                    "given": made.today.year - years_ago if years_ago else None,
                    "note": each["note"],
                },
                [made.members[key] for key in each["members"]],
            ),
            now=now,
        )


def _occasion(made: Loaded, each: dict[str, Any], now: datetime) -> Occasion:
    day = made.today + timedelta(days=each["in_days"])
    once = each.get("once", False)
    began = day.year if once else day.year - each["years"] if each["years"] else None
    return actions.add_occasion(
        household=made.household,
        actor=made.members[each["by"]],
        wanted=Wanted(
            {
                "name": each["name"],
                "kind": each["kind"],
                "who": each["who"],
                "notes": each["notes"],
                "sort": Sort.ONCE if once else Sort.YEARLY,
                "month": day.month,
                "day": day.day,
                "year": began,
            },
            [made.members[key] for key in each["concerns"]],
        ),
        now=now,
    )

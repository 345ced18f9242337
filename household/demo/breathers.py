"""The demo's ideas of what does each of them good; the daily job offers them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from household.breathers.actions import Idea, add_idea
from household.people.models import AgeBand

if TYPE_CHECKING:
    from household.demo.load import Loaded


def write_breathers(made: Loaded, data: dict[str, Any], now: datetime) -> None:
    """Shared ideas, some of one member's own, and some that only they see."""
    organiser = next(member for member in made.members.values() if member.organises)
    for each in data["breathers"]:
        owner = made.members.get(each.get("owner", ""))
        idea = Idea(
            company=each["company"],
            name=each["name"],
            minutes=each.get("minutes"),
            mine=owner is not None,
            private=each.get("private", False),
            min_age=each.get("min_age", AgeBand.UNDER_5),
        )
        add_idea(by=owner or organiser, idea=idea, now=now)

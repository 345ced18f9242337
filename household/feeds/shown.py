"""What one feed shows, and the pieces that a kind of feed is made of."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from household.calc.feed_events import NO_ALARMS, Alarms, EventFacts
from household.people.models import Household, Member

BACK = timedelta(days=14)
AHEAD = timedelta(days=90)


@dataclass(frozen=True, slots=True)
class Shown:
    """A feed at one moment. `base` is the hub's own address, without a slash at the end.

    `member_id` is whose tasks it shows, None for everybody's; `owner` is who reads it, and it shows
    what they may see. `named` says who does a task, where a feed is about several people.
    `links_chores` is false where the owner may not open a chore's page.
    """

    household: Household
    owner: Member
    today: date
    base: str
    member_id: int | None = None
    area_id: int | None = None
    named: bool = True
    hide_titles: bool = False
    include_done: bool = True
    links_chores: bool = True
    alarms: Alarms = NO_ALARMS

    @property
    def first(self) -> date:
        return self.today - BACK

    @property
    def last(self) -> date:
        return self.today + AHEAD

    @property
    def style(self) -> Hashable:
        """Events of equal facts have equal texts wherever this is equal."""
        home = self.household
        told = (home.pk, home.time_zone, home.date_order, home.renamed_at, self.base, self.named)
        return (*told, self.hide_titles, self.links_chores, self.alarms)


@dataclass(frozen=True, slots=True)
class Piece:
    """One event: who it is, which state of it this is, and how to find out what it says."""

    key: Hashable
    version: Hashable
    facts: Callable[[], EventFacts]


def home_id(household: Household) -> str:
    """What stands in every UID, so that no other hub makes the same: ASCII, never changing.

    It hangs on the moment the household was made, not on an address, which may change.
    """
    origin = f"{household.pk} {household.created_at.isoformat()}"
    return hashlib.sha256(origin.encode()).hexdigest()[:16]


def sequence_of(household: Household, changed_at: datetime, changes: int = 0) -> int:
    """A SEQUENCE that grows with every change, whoever made it.

    Seconds from the household's own beginning to the last change of a task or its chore, and
    the task's own count for two touches in one second. It grows too when a task that was only
    projected is written down.
    """
    return max(0, int((changed_at - household.created_at).total_seconds())) + changes

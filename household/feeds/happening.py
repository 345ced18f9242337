"""Foreign events in words, day by day, for the pages of a day, a week and a month."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta, tzinfo
from typing import Final

from django.core.cache import caches

from household.calc.busy import Span
from household.feeds.queries import Foreign, busy_of, foreign_events
from household.people.models import Household


@dataclass(frozen=True, slots=True)
class Happening:
    """An event on one of its days. `time` is empty for a whole day, `who` where it is nobody's."""

    time: str
    title: str
    who: str
    member_id: int | None

    @property
    def words(self) -> str:
        """ "10:00 to 11:30 Dentist (Dev)"."""
        named = f"{self.title} ({self.who})" if self.who else self.title
        return f"{self.time} {named}" if self.time else named


def happenings(
    events: Iterable[Foreign], first: date, last: date, zone: tzinfo
) -> Mapping[date, list[Happening]]:
    """What is on, on each of the days, in the order of the events."""
    found: dict[date, list[Happening]] = defaultdict(list)
    for event in events:
        title = event.title or ("Busy" if event.busy else "Something")
        day, end = max(event.span.first, first), min(event.span.last, last)
        while day <= end:
            time = _time(event.span, day, zone)
            found[day].append(Happening(time, title, event.who, event.member_id))
            day += timedelta(days=1)
    return found


def _time(span: Span, day: date, zone: tzinfo) -> str:
    """When it is on this day: "10:00 to 11:30", "from 22:00", "until 06:00"."""
    if span.starts_at is None or span.ends_at is None:
        return ""
    starts, ends = (f"{at.astimezone(zone):%H:%M}" for at in (span.starts_at, span.ends_at))
    if span.first == span.last:
        return starts if span.starts_at == span.ends_at else f"{starts} to {ends}"
    if day == span.first:
        return f"from {starts}"
    return f"until {ends}" if day == span.last else ""


@dataclass(frozen=True, slots=True)
class MemberDay:
    """What is on for a member, and the minutes of waking time that it takes."""

    on: Sequence[Happening]
    busy: int


CALENDARS: Final = "calendars"  # the cache of settings.CACHES
_KEPT_FOR: Final = 24 * 3600  # seconds


def day_of(household: Household, member_id: int, day: date) -> MemberDay:
    """A member's own events of a day and nobody's; read once until a calendar changes."""
    state = (household.pk, household.calendars, household.time_zone, member_id, day)
    key = "-".join(map(str, state))
    said: MemberDay | None = caches[CALENDARS].get(key)
    if said is None:
        said = _day_of(household, member_id, day)
        caches[CALENDARS].set(key, said, _KEPT_FOR)
    return said


def _day_of(household: Household, member_id: int, day: date) -> MemberDay:
    events = foreign_events(household, day, day)
    own = [each for each in events if each.member_id in (None, member_id)]
    busy = busy_of(own, household, day, day).get(member_id, {})
    return MemberDay(happenings(own, day, day, household.zone).get(day, ()), busy.get(day, 0))

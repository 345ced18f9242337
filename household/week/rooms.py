"""Who has room on which day of a week for a breather or together time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from household.breathers.models import Company, Offer
from household.calc.breathers import USUAL_MINUTES, DayRoom, best_day
from household.people.models import Member
from household.week.places import Where
from household.week.queries import Week

Rooms = dict[int, dict[date, DayRoom]]  # member id -> day -> what is left of it


def rooms_of(week: Week) -> Rooms:
    """Minutes that each member has left on each day, the done and the planned taken off."""
    used: dict[tuple[int, date], int] = defaultdict(int)
    for task in week.closed:
        if task.done_by_id is not None and task.done_on is not None:
            used[task.done_by_id, task.done_on] += task.minutes_taken or task.minutes
    for task in week.tasks:
        where = Where.now(week, task)
        if where is not None:
            used[where.member.pk, where.day] += task.minutes
    return {
        member.pk: {
            day: _room(week, member, day, free - used[member.pk, day])
            for day, free in zip(week.days, week.free[member.pk], strict=True)
        }
        for member in week.members
    }


def _room(week: Week, member: Member, day: date, minutes: int) -> DayRoom:
    """Whose week has no free minutes at all is not planned, and is free to come along."""
    planned = any(member.free_minutes)
    return DayRoom(day in week.away[member.pk], max(0, minutes) if planned else None)


def in_it(offered: Offer, members: Sequence[Member]) -> list[int]:
    """The ids of those whom an offer is for."""
    if offered.company == Company.ALL:
        return [member.pk for member in members]
    known = {member.pk for member in members}
    return [pk for pk in (offered.member_id, offered.other_id) if pk in known]


def least_at_home(offered: Offer) -> int:
    return 1 if offered.company == Company.ONESELF else 2


def place(
    offered: Offer,
    members: Sequence[Member],
    rooms: Mapping[int, Mapping[date, DayRoom]],
    days: Sequence[date],
) -> date | None:
    """The day with the most room for those who are in it; None where no day has enough."""
    people = [rooms[pk] for pk in in_it(offered, members)]
    return best_day(people, days, offered.breather.minutes, least=least_at_home(offered))


def use_up(offered: Offer, members: Sequence[Member], rooms: Rooms) -> None:
    """Take it off the room of its day, so that what is placed next finds another one."""
    if offered.day is None:
        return
    for pk in in_it(offered, members):
        room = rooms[pk].get(offered.day)
        if room is not None and room.minutes is not None:
            left = max(0, room.minutes - (offered.breather.minutes or USUAL_MINUTES))
            rooms[pk][offered.day] = DayRoom(room.away, left)

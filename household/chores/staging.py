"""Works out a chore's next task and keeps it on the chore, ready for the daily job to copy.

Nothing is saved here: callers save `STAGED` fields, one by one or in bulk.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Max

from household.calc import holidays, turns
from household.calc.recurrence.repeat import Due, Kind, Shift, due_next, phase_key
from household.chores.eligibility import eligible, may_do
from household.chores.models import Chore, State, Task, Who
from household.people.models import Household, Member
from household.people.queries import Presence, members_with_absences, presence_of

STAGED = ("next_due", "next_opens", "next_closes", "next_member", "rhythm")
# How far ahead holidays and absences are looked at: a yearly chore's next turn lies within it.
LOOK_AHEAD = timedelta(days=800)
# Windows may open before their nominal date: a month's any-day task by up to 30 days.
LONGEST_WINDOW = timedelta(days=45)


@dataclass(frozen=True)
class Calendar:
    """What a household's dates depend on besides the rules: holidays, absences, who lives there."""

    week_start: int
    members: tuple[Member, ...] = ()
    holidays: Mapping[date, str] = field(default_factory=dict)
    presence: Presence = field(default_factory=lambda: Presence({}))


def calendar_of(household: Household, today: date) -> Calendar:
    first, last = today - LONGEST_WINDOW, today + LOOK_AHEAD
    members = tuple(members_with_absences(household))
    return Calendar(
        week_start=household.first_weekday,
        members=members,
        holidays=holidays.public_holidays(
            household.country, household.subdivision or None, first, last
        ),
        presence=presence_of(members, first, last),
    )


def restage(chore: Chore, calendar: Calendar, today: date) -> None:
    """Stage the next task from what stands: after the tasks there are, from today on."""
    last = _last_occurrence(chore)
    chore.rhythm = rhythm_of(chore, calendar.week_start)
    if chore.repeat != Kind.RULE and _has_open_task(chore):
        _stage(chore, None, None)
        return
    due = _first_from(chore, calendar, after=last, today=today)
    _stage(chore, due, member_for(chore, calendar, due))


def come_round_again(chore: Chore, closed_on: date | None, today: date) -> None:
    """Stage and save a chore that is counted from when it was last done.

    What was skipped or let go on `closed_on` counts from that day, so that it comes back in
    its own rhythm; the day it was really last done stays as it is.
    """
    done = chore.last_done_on
    if closed_on is not None:
        chore.last_done_on = max(closed_on, done) if done else closed_on
    restage(chore, calendar_of(chore.household, today), today)
    chore.last_done_on = done
    chore.save(update_fields=[*STAGED])


def advance(chore: Chore, calendar: Calendar, today: date) -> None:
    """The staged task was written: stage the one after it."""
    written = chore.next_due
    chore.rhythm = rhythm_of(chore, calendar.week_start)
    if chore.repeat != Kind.RULE:
        _stage(chore, None, None)
        return
    due = _next(chore, calendar, after=written)
    _stage(chore, due, member_for(chore, calendar, due))


def rhythm_of(chore: Chore, week_start: int) -> str:
    """Equal for chores whose next dates are always equal; empty for a case of its own."""
    plain = chore.on_holiday == Shift.KEEP and chore.on_away == Shift.KEEP
    if chore.repeat != Kind.RULE or not plain or chore.who == Who.TURNS:
        return ""
    key = repr(phase_key(chore.as_repeat(week_start))).encode()
    return hashlib.blake2b(key, digest_size=16).hexdigest()


def member_for(chore: Chore, calendar: Calendar, due: Due | None) -> Member | None:
    """Who will have it: the fixed person or the area's owner, or whose turn it will be.

    Nobody whom age, hazard or skill keeps from it: then it waits for anyone who may.
    """
    if due is None or chore.who == Who.ANYONE:
        return None
    if chore.who != Who.TURNS:
        one = chore.fixed if chore.who == Who.FIXED else chore.area.owner
        return one if one is not None and may_do(chore, one) else None
    order = eligible(chore, calendar.members)
    away = {
        member.pk
        for member in order
        if all(
            calendar.presence.is_away(member.pk, due.opens + timedelta(days=step))
            for step in range((due.closes - due.opens).days + 1)
        )
    }
    last = chore.next_member_id or _last_member(chore)
    chosen = turns.next_in_turn([member.pk for member in order], last, away)
    return next((member for member in order if member.pk == chosen), None)


def _stage(chore: Chore, due: Due | None, member: Member | None) -> None:
    chore.next_due = due.occurrence if due else None
    chore.next_opens = due.opens if due else None
    chore.next_closes = due.closes if due else None
    # Where turns find nobody the last one is kept, so that they go on from there.
    if member is not None or chore.who != Who.TURNS:
        chore.next_member = member


def _next(chore: Chore, calendar: Calendar, after: date | None) -> Due | None:
    return due_next(
        chore.as_repeat(calendar.week_start),
        after=after,
        last_done=chore.last_done_on,
        holidays=calendar.holidays,
        away=closed_days(chore, calendar),
    )


def _first_from(chore: Chore, calendar: Calendar, *, after: date | None, today: date) -> Due | None:
    """The first due window that has not closed before today."""
    if chore.repeat == Kind.RULE:
        start = today - LONGEST_WINDOW
        after = start if after is None or after < start else after
    due = _next(chore, calendar, after)
    while due is not None and due.closes < today and chore.repeat == Kind.RULE:
        due = _next(chore, calendar, due.occurrence)
    return due


def closed_days(chore: Chore, calendar: Calendar) -> frozenset[date]:
    """Days on which everybody who may do the chore is away."""
    if chore.on_away == Shift.KEEP or not calendar.presence.away:
        return frozenset()
    if chore.who == Who.FIXED and chore.fixed_id is not None:
        return calendar.presence.all_away([chore.fixed_id])
    return calendar.presence.all_away([member.pk for member in eligible(chore, calendar.members)])


def _last_occurrence(chore: Chore) -> date | None:
    last: date | None = chore.tasks.aggregate(last=Max("occurrence"))["last"]
    return last


def _last_member(chore: Chore) -> int | None:
    task = chore.tasks.filter(member__isnull=False).order_by("-occurrence", "-id").first()
    return task.member_id if task else None


def _has_open_task(chore: Chore) -> bool:
    return Task.objects.filter(chore=chore, state=State.OPEN).exists()

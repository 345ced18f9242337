"""What a person does with a request: ask, take it on, say no, pass it outside, say thank you.

Every change is one targeted update and one line of history, and lets the household know.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from household.calc import dangers
from household.chores import ticking
from household.chores.eligibility import own_refusal
from household.devices.actions import tell
from household.kit.errors import NotAllowed, Refused
from household.kit.writing import writes
from household.people.models import Member, WorkKind
from household.requests import queries
from household.requests.changing import (
    CLOSED,
    change,
    must_be_askers,
    must_be_open,
    note,
    path_to,
    skip_task,
    tell_asker,
)
from household.requests.models import (
    Happened,
    HelpKind,
    Photo,
    Request,
    Standing,
)
from household.requests.outside_models import Outsider
from household.requests.standing import stands

WORK = {
    HelpKind.REPAIR: WorkKind.REPAIRS,
    HelpKind.LIFT: WorkKind.ERRANDS,
    HelpKind.OPINION: WorkKind.CARE,
    HelpKind.CARRYING: WorkKind.ERRANDS,
    HelpKind.ERRAND: WorkKind.ERRANDS,
    HelpKind.OTHER: WorkKind.CARE,
}


@writes
def take(
    *,
    asked: Request,
    member: Member,
    now: datetime,
    minutes: int,
    by: date,
    day: date | None = None,
    arrange: bool = False,
    key: UUID | None = None,
) -> Request:
    """I'll do it: a task of this member's own, from today until `by`, on `day` if one is given.

    `arrange`: not the work itself but finding a licensed person for it, as any adult may.
    """
    standing = stands(asked)
    if standing == Standing.TAKEN:
        if asked.taken_by_id == member.pk:
            return asked
        raise Refused(f"{asked.taken_by} has taken it on already.")
    must_be_open(asked, standing)
    limits = _limits(asked, arrange=arrange)
    words = own_refusal(limits, member)
    if words:
        raise Refused(words)
    today = asked.household.today(now)
    task = ticking.add_one_off(
        household=asked.household,
        actor=member,
        now=now,
        name=f"Find somebody: {asked.what}"[:80] if arrange else asked.what[:80],
        minutes=minutes,
        opens=today,
        closes=max(by, day or by, today),
        member=member,
        area_id=asked.area_id,
        kind=WorkKind.PAPERWORK if arrange else WORK[HelpKind(asked.kind)],
        limits=limits,
        key=key,
    )
    if day is not None and task.day != day:
        ticking.move(task=task, day=day, actor=member, now=now)
    change(asked, now, standing=Standing.TAKEN, taken_by=member, task=task)
    note(asked, member, Happened.TAKEN, now)
    tell_asker(asked, member, f"{member.name} will help: {asked.what}", now)
    return asked


def _limits(asked: Request, *, arrange: bool) -> dict[str, Any] | None:
    if not asked.dangers:
        return None
    adult = {"min_age": "adult"}
    return adult if arrange else {**adult, "dangers": list(asked.dangers)}


@writes
def cannot(*, asked: Request, member: Member, now: datetime) -> Request:
    """I can't just now. Who is asked by name answers for themselves, anybody for one of many."""
    standing = stands(asked)
    must_be_open(asked, standing)
    if member.pk in asked.declined:
        return asked
    declined = [*asked.declined, member.pk]
    others = queries.helpers(asked.household, asked.asker, adults_only=asked.for_adults)
    nobody = asked.to_id == member.pk or (
        asked.to_id is None and all(each.pk in declined for each in others)
    )
    now_stands = Standing.CANNOT if nobody else asked.standing
    change(asked, now, declined=declined, standing=now_stands)
    note(asked, member, Happened.CANNOT, now)
    if nobody:
        tell_asker(asked, member, f"{member.name} can’t just now: {asked.what}", now)
    return asked


@writes
def give_back(*, asked: Request, member: Member, now: datetime) -> Request:
    """I can't after all: the task is left out, and anybody may take the request on."""
    if stands(asked) != Standing.TAKEN or asked.taken_by_id != member.pk:
        return asked
    skip_task(asked, member, "It was given back", now)
    change(asked, now, standing=Standing.CANNOT, taken_by=None, task=None, to=None)
    note(asked, member, Happened.GAVE_BACK, now)
    tell_asker(asked, member, f"{member.name} can’t after all: {asked.what}", now)
    return asked


@writes
def go_outside(
    *, asked: Request, actor: Member, outsider: Outsider | None, now: datetime
) -> Request:
    """Ask somebody outside; who that is may be found later."""
    standing = stands(asked)
    must_be_open(asked, standing)
    if standing == Standing.OUTSIDE and asked.outsider == outsider:
        return asked
    if standing == Standing.TAKEN:
        skip_task(asked, actor, "Somebody outside does it", now)
    change(asked, now, standing=Standing.OUTSIDE, outsider=outsider, taken_by=None, task=None)
    note(asked, actor, Happened.OUTSIDE, now, words=outsider.name if outsider else "")
    return asked


@dataclass(frozen=True, slots=True)
class Outcome:
    """What it took: parts, cost in the household's currency, and until when it is warranted."""

    done_on: date | None = None
    parts: str = ""
    cost: Decimal | None = None
    warranty_until: date | None = None
    outsider: Outsider | None = None


@writes
def finish(*, asked: Request, actor: Member, outcome: Outcome, now: datetime) -> Request:
    """Note that it is done, or what it took once it is; the task is ticked along with it.

    The asker's Today says so by itself, with the way to say thank you.
    """
    standing = stands(asked)
    if standing == Standing.WITHDRAWN:
        raise Refused("It is not needed any more.")
    today = asked.household.today(now)
    was_done = standing in (Standing.DONE, Standing.THANKED)
    if standing == Standing.TAKEN and asked.task is not None:
        ticking.tick(task=asked.task, member=asked.taken_by or actor, now=now, horizon=today)
    change(
        asked,
        now,
        standing=Standing.THANKED if standing == Standing.THANKED else Standing.DONE,
        done_on=outcome.done_on or asked.done_on or today,
        parts=outcome.parts,
        cost=outcome.cost,
        warranty_until=outcome.warranty_until,
        outsider=outcome.outsider or asked.outsider,
        **({} if was_done or asked.taken_by_id or outcome.outsider else {"taken_by": actor}),
    )
    note(asked, actor, Happened.NOTED if was_done else Happened.DONE, now)
    return asked


@writes
def thank(*, asked: Request, member: Member, now: datetime) -> Request:
    """The asker says thank you, with one touch. Whoever did it is told."""
    standing = stands(asked)
    if standing == Standing.THANKED:
        return asked
    if asked.asker_id != member.pk:
        raise NotAllowed("The one who asked says thank you.")
    if standing != Standing.DONE:
        raise Refused("It is not done yet.")
    done = asked.done_on or (asked.task.done_on if asked.task else None)
    change(asked, now, standing=Standing.THANKED, done_on=done or asked.household.today(now))
    note(asked, member, Happened.THANKED, now)
    doer = (asked.task.done_by if asked.task else None) or asked.taken_by
    if doer is not None and doer.pk != member.pk:
        tell(
            to=doer,
            words=f"{member.name} says thank you: {asked.what}",
            path=path_to(asked),
            now=now,
        )
    return asked


@writes
def withdraw(*, asked: Request, actor: Member, now: datetime) -> Request:
    """It is not needed any more. Whoever had taken it on is told."""
    must_be_askers(asked, actor)
    standing = stands(asked)
    if standing in CLOSED:
        return asked
    if standing == Standing.TAKEN:
        skip_task(asked, actor, "It is not needed any more", now)
        if asked.taken_by is not None and asked.taken_by_id != actor.pk:
            words = f"Not needed any more: {asked.what}"
            tell(to=asked.taken_by, words=words, path=path_to(asked), now=now)
    change(asked, now, standing=Standing.WITHDRAWN)
    note(asked, actor, Happened.WITHDRAWN, now)
    return asked


@writes
def set_dangers(*, asked: Request, actor: Member, chosen: Sequence[str], now: datetime) -> Request:
    """An adult says what is dangerous about it, also where words were misread.

    While somebody has taken it on, their task's limits follow; one that they may not do any
    more is let go.
    """
    if not queries.is_adult(actor):
        raise NotAllowed("Ask a grown-up to change that.")
    found = [each.value for each in dangers.in_order(chosen)]
    if found == list(asked.dangers):
        return asked
    labels = [dangers.RULES[dangers.Danger(each)].label for each in found]
    child = asked.asker is not None and not queries.is_adult(asked.asker)
    change(asked, now, dangers=found, for_adults=bool(found) and child)
    note(asked, actor, Happened.DANGER, now, words="; ".join(labels) or "nothing")
    if stands(asked) == Standing.TAKEN and found and asked.taken_by is not None:
        limits = _limits(asked, arrange=False)
        if own_refusal(limits, asked.taken_by):
            give_back(asked=asked, member=asked.taken_by, now=now)
    return asked


@writes
def remove_photo(*, photo: Photo, actor: Member, now: datetime) -> str:
    """Take a picture away for good; returns the name under which it lies on the disk."""
    must_be_askers(photo.request, actor)
    name = photo.name
    note(photo.request, actor, Happened.PHOTO_GONE, now)
    photo.delete()
    return name

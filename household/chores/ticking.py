"""What a person does with a task: tick it, take that back, skip it, take it on, hand it over."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Max

from household.calc.recurrence.repeat import Kind
from household.chores.changes import change, earlier, kept_once, put_back, write_entry
from household.chores.eligibility import task_refusal
from household.chores.making import make_due
from household.chores.models import Chore, Did, State, Task
from household.chores.staging import come_round_again
from household.devices.models import Device
from household.kit.by_hand import update
from household.kit.errors import NotAllowed, Refused
from household.kit.writing import writes
from household.people.models import Household, Member, Role

OLDEST_TICK = timedelta(days=14)


@kept_once
@writes
def tick(
    *,
    task: Task,
    member: Member | None,
    now: datetime,
    horizon: date,
    done_at: datetime | None = None,
    key: UUID | None = None,
    device: Device | None = None,
) -> Task:
    """Set a task done. Sending it again, by the same key or not, changes nothing.

    Without a member, the helper from outside did it for whom it is spoken for.

    `done_at` is the moment of doing, kept when the phone had no network; it counts only
    within the last fortnight and not in the future. `device` is the shared screen, if any.
    """
    if task.state == State.DONE:
        return task
    moment = now if done_at is None else min(max(done_at, now - OLDEST_TICK), now)
    chore = task.chore
    change(
        task,
        actor=member,
        did=Did.TICKED,
        now=now,
        key=key,
        device=device,
        helper_acts=member is None,
        state=State.DONE,
        reason="",
        done_at=moment,
        done_on=task.household.today(moment),
        done_by_id=member.pk if member else None,
        # A one-off has its keeper from the beginning, if it has one.
        kept_by_id=chore.keeper_id if chore else task.kept_by_id,
        kept_minutes=_kept_minutes(task),
    )
    _follow_up(task, now, horizon)
    return task


@writes
def undo(
    *,
    task: Task,
    member: Member | None,
    now: datetime,
    horizon: date,
    key: UUID | None = None,
    device: Device | None = None,
) -> Task:
    """Put back what stood before the last change of the task that was not itself taken back.

    Without a member, the helper from outside does it for whom the task is spoken for.
    """
    if earlier(task.household, key):
        return task
    entries = task.entries.exclude(did__in=[Did.UNDONE, Did.ADDED]).filter(undone_by=None)
    if task.state != State.OPEN:
        # Taking back a tick takes it back whole, also when its minutes were corrected since.
        entries = entries.filter(before__has_key="state")
    entry = entries.order_by("-at", "-id").first()
    if entry is None:
        return task
    change(
        task,
        actor=member,
        did=Did.UNDONE,
        now=now,
        key=key,
        undoes=entry,
        device=device,
        helper_acts=member is None,
        **put_back(entry),
        **({"minutes_taken": None} if "done_at" in entry.before else {}),
    )
    _follow_up(task, now, horizon)
    return task


@writes
def skip(
    *,
    task: Task,
    member: Member,
    reason: str,
    now: datetime,
    horizon: date,
    key: UUID | None = None,
) -> Task:
    """Leave a task out this time, with the reason kept in its history."""
    if earlier(task.household, key) or task.state == State.SKIPPED:
        return task
    if task.state == State.DONE:
        raise Refused(f"“{task.name}” is done already. Take the tick back first.")
    change(
        task,
        actor=member,
        did=Did.SKIPPED,
        now=now,
        key=key,
        state=State.SKIPPED,
        reason=reason.strip()[:120],
    )
    _follow_up(task, now, horizon)
    return task


@writes
def take(
    *,
    task: Task,
    member: Member,
    now: datetime,
    key: UUID | None = None,
    device: Device | None = None,
) -> Task:
    """Take on a task that is nobody's yet."""
    if earlier(task.household, key) or task.member_id == member.pk:
        return task
    if task.helper:
        raise Refused(f"“{task.name}” is on the list of {task.helper}, from outside.")
    if task.member_id is not None:
        raise Refused(f"{task.member} has taken “{task.name}” already.")
    assign(task=task, to=member, actor=member, now=now, key=key, did=Did.TAKEN, device=device)
    return task


@writes
def assign(
    *,
    task: Task,
    to: Member | None,
    actor: Member,
    now: datetime,
    key: UUID | None = None,
    did: Did = Did.HANDED,
    device: Device | None = None,
) -> Task:
    """Give a task to a member, or to anyone (None). Age, hazard and skill are hard limits.

    It is spoken for by no helper from outside then.
    """
    if task.state != State.OPEN:
        raise Refused(f"“{task.name}” is {task.get_state_display().lower()} already.")
    if to is not None:
        words = task_refusal(task, to)
        if words:
            raise Refused(words)
    change(
        task,
        actor=actor,
        did=did,
        now=now,
        key=key,
        about=to,
        device=device,
        member_id=to.pk if to else None,
    )
    return task


@writes
def hand_over(*, task: Task, to: Member | None, actor: Member, now: datetime) -> Task:
    """Give a task on. A child may take tasks and give up its own, not hand out work to others."""
    if actor.role == Role.CHILD and to != actor and task.member_id != actor.pk:
        raise NotAllowed("Ask an adult to hand this one over.")
    return assign(task=task, to=to, actor=actor, now=now)


@writes
def move(*, task: Task, day: date, actor: Member, now: datetime) -> Task:
    """Do it on another day; its window stretches to hold that day."""
    if task.state != State.OPEN:
        raise Refused(f"“{task.name}” is {task.get_state_display().lower()} already.")
    change(task, actor=actor, did=Did.MOVED, now=now, **moved(task, day))
    return task


def moved(task: Task, day: date) -> dict[str, Any]:
    """The fields of a task that is to be done on this day; a window stretches to hold it."""
    one_day = task.opens == task.closes
    return {
        "day": day,
        "opens": day if one_day else min(task.opens, day),
        "closes": day if one_day else max(task.closes, day),
    }


@writes
def measure(*, task: Task, minutes: int, member: Member | None, now: datetime) -> Task:
    """Say how long it really took; without a member, the helper from outside who did it says so."""
    if task.state != State.DONE:
        raise Refused("Tick it first, then say how long it took.")
    change(
        task,
        actor=member,
        did=Did.MEASURED,
        now=now,
        helper_acts=member is None,
        minutes_taken=minutes,
    )
    return task


@writes
def add_one_off(
    *,
    household: Household,
    actor: Member | None,
    now: datetime,
    name: str,
    minutes: int,
    opens: date,
    closes: date,
    member: Member | None,
    area_id: int | None = None,
    kind: str = "",
    key: UUID | None = None,
    limits: dict[str, Any] | None = None,
    keeper_id: int | None = None,
    keep_minutes: int = 0,
) -> Task:
    """Add a task that belongs to no chore. Sending it again gives the same task back.

    `limits` is what it asks of whoever does it (see Task.limits), now and later.
    """
    before = earlier(household, key)
    if before is not None and before.task is not None:
        return before.task
    task = Task.objects.create(
        household=household,
        name=name,
        minutes=minutes,
        opens=opens,
        closes=closes,
        day=opens if opens == closes else None,
        member=member,
        area_id=area_id,
        changed_at=now,
        limits=limits,
        kept_by_id=keeper_id,
        kept_minutes=keep_minutes if keeper_id else 0,
        **({"kind": kind} if kind else {}),
    )
    write_entry(
        household.pk,
        actor=actor,
        did=Did.ADDED,
        now=now,
        key=key,
        task=task,
        area_id=area_id,
        after={"name": name, "minutes": minutes, "opens": opens.isoformat()},
    )
    return task


def _kept_minutes(task: Task) -> int:
    if task.chore is None:
        return task.kept_minutes
    return task.chore.keep_minutes if task.chore.keeper_id else 0


def _follow_up(task: Task, now: datetime, horizon: date) -> None:
    """A chore counted from when it was last done moves with every tick, undo and skip."""
    chore = task.chore
    if chore is None:
        return
    if chore.repeat != Kind.AFTER_DONE:
        _remember_last_done(chore, task)
        return
    today = task.household.today(now)
    chore.tasks.filter(state=State.OPEN, sequence=0).exclude(pk=task.pk).delete()
    _remember_last_done(chore, task)
    come_round_again(chore, today if task.state == State.SKIPPED else None, today)
    make_due(households=[task.household_id], today=today, horizon=horizon, now=now)


def _remember_last_done(chore: Chore, task: Task) -> None:
    """When a chore was last done: a tick can only make that later, all else is looked up."""
    if task.state == State.DONE and task.done_on is not None:
        if chore.last_done_on is None or chore.last_done_on < task.done_on:
            earlier_only = "id = %s AND (last_done_on IS NULL OR last_done_on < %s)"
            day = connection.ops.adapt_datefield_value(task.done_on)
            update(Chore, {"last_done_on": task.done_on}, earlier_only, chore.pk, day)
            chore.last_done_on = task.done_on
        return
    done = chore.tasks.filter(state=State.DONE)
    chore.last_done_on = done.aggregate(last=Max("done_on"))["last"]
    Chore.objects.filter(pk=chore.pk).update(last_done_on=chore.last_done_on)

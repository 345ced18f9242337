"""Settling what is overdue: one change, one entry, so that one undo takes all of it back."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

from household.areas.models import CareLevel
from household.calc.settling import lighter_minutes
from household.chores.changes import change, earlier
from household.chores.eligibility import task_refusal
from household.chores.models import Did, Entry, Importance, State, Task
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Member

LIGHTER = {CareLevel.DEEP.value: CareLevel.CLEAN.value, CareLevel.CLEAN.value: CareLevel.TIDY.value}


def may_lighten(level: str, importance: int | None) -> bool:
    """Whether a lighter level exists; health and safety are never done by halves."""
    return level in LIGHTER and importance != Importance.SAFETY


def may_drop(importance: int | None) -> bool:
    """What is for health or safety is moved or handed over, never left out."""
    return importance != Importance.SAFETY


@writes
def settle(
    *,
    task: Task,
    to: Member | None,
    day: date,
    actor: Member,
    now: datetime,
    key: UUID | None = None,
) -> Entry | None:
    """Give a task to a member for a day. Nothing is written where it stands like that already."""
    if earlier(task.household, key) or (task.member_id == _id(to) and task.day == day):
        return None
    _refuse_closed(task)
    if to is not None and task.member_id != to.pk:
        words = task_refusal(task, to)
        if words:
            raise Refused(words)
    fields = _onto(task, day)
    if task.member_id != _id(to):
        fields["member_id"] = _id(to)
    did = Did.HANDED if "member_id" in fields else Did.MOVED
    return change(task, actor=actor, did=did, now=now, key=key, about=to, **fields)


@writes
def lighten(
    *,
    task: Task,
    actor: Member,
    now: datetime,
    day: date | None = None,
    key: UUID | None = None,
) -> Entry | None:
    """Do it one care level lighter this time, in fewer minutes; on another day where one is given.

    The chore stays as it is, and so does a tidy: there is nothing lighter.
    """
    if earlier(task.household, key):
        return None
    _refuse_closed(task)
    if not may_lighten(task.level, task.chore.importance if task.chore else None):
        raise Refused(f"“{task.name}” has no lighter way. It can go to another day instead.")
    return change(
        task,
        actor=actor,
        did=Did.CHANGED,
        now=now,
        key=key,
        level=LIGHTER[task.level],
        minutes=lighter_minutes(task.minutes),
        **(_onto(task, day) if day is not None else {}),
    )


def _onto(task: Task, day: date) -> dict[str, Any]:
    """The columns that put a task on a day: a window of several days stretches to hold it."""
    if task.opens == task.closes:
        return {"day": day, "opens": day, "closes": day}
    return {"day": day, "opens": min(task.opens, day), "closes": max(task.closes, day)}


def _refuse_closed(task: Task) -> None:
    if task.state != State.OPEN:
        raise Refused(f"“{task.name}” is {task.get_state_display().lower()} already.")


def _id(member: Member | None) -> int | None:
    return member.pk if member else None

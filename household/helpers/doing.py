"""What a helper does by their address: tick, take that back, say how long it took, comment."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from uuid import UUID

from household.chores import ticking
from household.chores.changes import touch
from household.chores.horizon import horizon_of
from household.chores.models import State, Task
from household.devices.actions import tell
from household.devices.models import Notice
from household.helpers.models import Comment, HelperList, ListedTask
from household.kit.dates import DateWords
from household.kit.errors import Refused
from household.kit.words import from_outside
from household.kit.writing import writes, writing
from household.people.models import Role
from household.people.queries import members

NOTED_EVERY = timedelta(minutes=1)


@writes
def tick(*, listed: ListedTask, now: datetime, key: UUID | None) -> None:
    """The helper has done it. Sending it again changes nothing."""
    task = _of_list(listed, now)
    if task.state != State.DONE:
        ticking.tick(task=task, member=None, now=now, horizon=_horizon(task, now), key=key)


@writes
def undo(*, listed: ListedTask, now: datetime, key: UUID | None) -> None:
    """Take back the helper's own tick; what somebody else did stays."""
    task = _of_list(listed, now)
    if is_theirs(task):
        ticking.undo(task=task, member=None, now=now, horizon=_horizon(task, now), key=key)


@writes
def comment(
    *, listed: ListedTask, words: str, minutes: int | None, now: datetime, key: UUID
) -> None:
    """A few words about a task, and how long it took; the organisers are told of words."""
    task, helper_list = _of_list(listed, now), listed.list
    if minutes is not None and is_theirs(task) and minutes != task.minutes_taken:
        ticking.measure(task=task, minutes=minutes, member=None, now=now)
    if not words or Comment.objects.filter(list=helper_list, key=key).exists():
        return
    Comment.objects.create(list=helper_list, task=task, words=words, at=now, key=key)
    _tell_organisers(
        helper_list, f"{from_outside(helper_list.name)}, on “{task.name}”: {words}", now
    )
    touch(helper_list.household_id)


def is_theirs(task: Task) -> bool:
    """Whether a helper ticked it."""
    return task.state == State.DONE and task.done_by_id is None and bool(task.helper)


def note_opening(*, helper_list: HelperList, now: datetime) -> None:
    """When the list was last looked at, to the minute: most looks write nothing."""
    last = helper_list.opened_at
    if last is not None and now - last < NOTED_EVERY:
        return
    with writing():
        HelperList.objects.filter(pk=helper_list.pk).update(opened_at=now)


def _of_list(listed: ListedTask, now: datetime) -> Task:
    """The task, while it may be changed from outside."""
    helper_list, task = listed.list, listed.task
    today = helper_list.household.today(now)
    if today < helper_list.starts:
        words = DateWords(helper_list.household.date_order)
        raise Refused(f"The days of this list begin on {words.day(helper_list.starts)}.")
    if task.state != State.DONE and not task.helper:
        raise Refused(f"“{task.name}” is no longer on this list.")
    return task


def _horizon(task: Task, now: datetime) -> date:
    return horizon_of(task.household.today(now))


def _tell_organisers(helper_list: HelperList, words: str, now: datetime) -> None:
    """Once until they have looked: more comments stand on the list's page."""
    path = f"helpers/{helper_list.pk}/"
    for each in members(helper_list.household).filter(role=Role.ORGANISER):
        if not Notice.objects.filter(to=each, path=path, seen_at=None).exists():
            tell(to=each, words=words, path=path, now=now)

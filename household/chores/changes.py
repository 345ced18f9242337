"""How a task changes: one targeted update and one entry, always together.

Every action on a task goes through `change`, so that its history is whole and any entry can
be undone by putting back what stood before.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from functools import wraps
from typing import Any
from uuid import UUID

from django.db import IntegrityError

from household.chores.models import Did, Entry, Task
from household.devices.models import Device
from household.kit.by_hand import insert, update
from household.kit.errors import Conflict
from household.people.actions import touch_household
from household.people.models import Household, Member

# The fields of a task that a person may change, and so what an entry may hold.
DATES = ("opens", "closes", "day", "done_on")
FIELDS = (
    *DATES,
    "name",
    "minutes",
    "time",
    "member_id",
    "helper",
    "state",
    "done_at",
    "done_by_id",
    "minutes_taken",
    "kept_by_id",
    "kept_minutes",
    "reason",
    "note",
    "level",
)


class Repeated(Conflict):
    """An earlier send with the same key has told it all."""


class Overtaken(Conflict):
    """The task has changed since it was read."""


def kept_once(action: Callable[..., Task]) -> Callable[..., Task]:
    """Decorate an action with a `key`: sent again, it gives back the task as it stands."""

    @wraps(action)
    def inside(*, task: Task, **rest: Any) -> Task:
        try:
            return action(task=task, **rest)
        except Repeated:
            task.refresh_from_db()
            return task

    return inside


def change(
    task: Task,
    *,
    actor: Member | None,
    did: Did,
    now: datetime,
    key: UUID | None = None,
    undoes: Entry | None = None,
    about: Member | None = None,
    device: Device | None = None,
    helper_acts: bool = False,
    **fields: Any,
) -> Entry:
    """Set `fields` (column names of FIELDS), write the entry, and let the household know.

    `helper_acts`: the helper from outside did it for whom the task is spoken for. What is given
    to a member, or to anyone, or is done by a member is no longer theirs.

    The task is as somebody read it a moment ago, without a lock: if it has moved on since,
    nothing is written and Overtaken is raised.
    """
    acting = task.helper if helper_acts else ""
    if task.helper and ("member_id" in fields or fields.get("done_by_id")):
        fields.setdefault("helper", "")
    before = {name: getattr(task, name) for name in fields}
    entry = write_entry(
        task.household_id,
        actor=actor,
        did=did,
        now=now,
        key=key,
        undoes=undoes,
        about=about,
        device=device,
        helper=acting,
        task_id=task.pk,
        chore_id=task.chore_id,
        area_id=task.area_id,
        before={name: _plain(value) for name, value in before.items()},
        after={name: _plain(value) for name, value in fields.items()},
    )
    values = {**fields, "sequence": task.sequence + 1, "changed_at": now}
    if not update(Task, values, "id = %s AND sequence = %s", task.pk, task.sequence):
        raise Overtaken(f"Somebody else has just changed “{task.name}”. Look at it again.")
    for name, value in fields.items():
        setattr(task, name, value)
    task.sequence += 1
    task.changed_at = now
    return entry


def write_entry(
    household_id: int,
    *,
    actor: Member | None,
    did: Did,
    now: datetime,
    **rest: Any,
) -> Entry:
    """Add an entry and let the household's change counter grow."""
    entry = Entry(household_id=household_id, actor=actor, did=did, at=now, **rest)
    try:
        insert(entry)
    except IntegrityError:
        raise Repeated("This was sent twice. It is kept once.") from None
    touch(household_id)
    return entry


def touch(household_id: int) -> None:
    """Grow the change counter by which pages and feeds are kept."""
    touch_household(household_id)


def earlier(household: Household, key: UUID | None) -> Entry | None:
    """The entry that an earlier send with this key wrote, if there was one."""
    if key is None:
        return None
    return Entry.objects.select_related("task").filter(household=household, key=key).first()


def put_back(entry: Entry) -> dict[str, Any]:
    """What an entry's task looked like before it, as field values."""
    return {name: _value(name, value) for name, value in entry.before.items() if name in FIELDS}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, (date, datetime, time)) else value


def _value(name: str, value: Any) -> Any:
    if value is None:
        return None
    if name in DATES:
        return date.fromisoformat(value)
    if name == "done_at":
        return datetime.fromisoformat(value)
    if name == "time":
        return time.fromisoformat(value)
    return value

"""Tasks that somebody must not see: what is got ready for a member is kept from that member.

A page read by one member leaves out what is hidden from them; what several people see at once
(the shared screen, a calendar of the whole household) leaves out all that is hidden from anybody.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from household.chores.models import Entry, Hidden, Task
from household.people.models import Member

KEY = "hidden_from"


def seen_by(tasks: QuerySet[Task], member: Member | int | None) -> QuerySet[Task]:
    """Those of the tasks that a member may see; for None, those that everybody may."""
    return tasks.exclude(Exists(_hidden("pk", member)))


def entries_seen_by(entries: QuerySet[Entry], member: Member | int | None) -> QuerySet[Entry]:
    return entries.exclude(Exists(_hidden("task_id", member)))


def _hidden(task: str, member: Member | int | None) -> QuerySet[Hidden]:
    hidden = Hidden.objects.filter(task=OuterRef(task))
    return hidden if member is None else hidden.filter(member=member)


def is_hidden(limits: Mapping[str, Any] | None, member_id: int | None) -> bool:
    """The same of one task, by its limits; for None, whether it is hidden from anybody."""
    from_whom: Collection[int] = (limits or {}).get(KEY, ())
    return bool(from_whom) if member_id is None else member_id in from_whom


def open_name(task: Task) -> str:
    """A task's name in words that everybody may read."""
    return "something kept secret" if is_hidden(task.limits, None) else task.name


def hide(task: Task, member_ids: Iterable[int]) -> None:
    """Keep a task from these members, and from nobody else."""
    wanted = sorted(set(member_ids))
    known = sorted((task.limits or {}).get(KEY, ()))
    if wanted == known:
        return
    limits = {name: value for name, value in (task.limits or {}).items() if name != KEY}
    task.limits = {**limits, KEY: wanted} if wanted else limits or None
    Task.objects.filter(pk=task.pk).update(limits=task.limits)
    Hidden.objects.filter(task=task).exclude(member__in=wanted).delete()
    Hidden.objects.bulk_create(
        (Hidden(task=task, member_id=each) for each in wanted), ignore_conflicts=True
    )

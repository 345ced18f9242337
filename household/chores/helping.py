"""Tasks that somebody from outside does: spoken for while they are to do, counted apart when done.

Ticking, taking back and measuring are those of `ticking`, without a member.
"""

from __future__ import annotations

from datetime import datetime

from household.chores.changes import change
from household.chores.eligibility import helper_refusal
from household.chores.models import Did, State, Task
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Member


@writes
def speak_for(
    *, task: Task, helper: str, age_band: str, actor: Member | None, now: datetime
) -> None:
    """Give a task to a helper from outside; no member has it then, and the share-out leaves it."""
    if task.helper == helper:
        return
    if task.state != State.OPEN:
        raise Refused(f"“{task.name}” is {task.get_state_display().lower()} already.")
    words = helper_refusal(task, name=helper, age_band=age_band)
    if words:
        raise Refused(f"“{task.name}” cannot be on this list. {words}")
    change(task, actor=actor, did=Did.HANDED, now=now, member_id=None, helper=helper)


@writes
def give_back(*, task: Task, actor: Member | None, now: datetime) -> None:
    """An open task that was spoken for is anyone's again; without an actor, its time was over."""
    if task.helper and task.state == State.OPEN:
        change(task, actor=actor, did=Did.HANDED, now=now, helper="")

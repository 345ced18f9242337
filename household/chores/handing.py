"""Handing work over: many tasks at once to somebody, to nobody yet, or to another day.

What cannot be is said task by task, and the rest goes through. The whole batch can be taken back.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from household.chores.changes import change, put_back
from household.chores.eligibility import task_refusal
from household.chores.models import Did, Entry, State, Task
from household.chores.queries import with_chore
from household.chores.ticking import moved
from household.kit.dates import DateWords
from household.kit.writing import writes
from household.people.models import Household, Member
from household.people.queries import Presence, presence

MOST = 200  # tasks a batch


@dataclass
class Outcome:
    """What was done, as entries to take back, and what was not, a sentence a task."""

    entries: list[int] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


@writes
def hand_all(
    *,
    household: Household,
    task_ids: Collection[int],
    to: Member | None,
    actor: Member,
    now: datetime,
) -> Outcome:
    """Give tasks to a member, or to whoever takes them (None)."""
    tasks, today = _chosen(household, task_ids), household.today(now)
    away = _away(household, tasks, today)
    words = DateWords(household.date_order)

    def refusal(task: Task) -> str:
        return task_refusal(task, to) or _away_words(task, to, away, today, words) if to else ""

    def hand(task: Task) -> Entry | None:
        if task.member_id == (to.pk if to else None) and not task.helper:
            return None  # theirs already
        return change(
            task, actor=actor, did=Did.HANDED, now=now, about=to, member_id=to.pk if to else None
        )

    return _each(tasks, refusal, hand)


@writes
def move_all(
    *, household: Household, task_ids: Collection[int], day: date, actor: Member, now: datetime
) -> Outcome:
    """Put tasks on another day, each with whoever has it."""
    tasks, today = _chosen(household, task_ids), household.today(now)
    away = presence(household, day, day)
    words = DateWords(household.date_order)

    def refusal(task: Task) -> str:
        if task.member is None or not away.is_away(task.member_id, day):
            return ""
        return f"{task.member.name} is away {_on(words.near(day, today))}."

    def move(task: Task) -> Entry | None:
        if task.day == day and task.opens <= day <= task.closes:
            return None
        return change(task, actor=actor, did=Did.MOVED, now=now, **moved(task, day))

    return _each(tasks, refusal, move)


@writes
def take_back(
    *, household: Household, entry_ids: Collection[int], actor: Member, now: datetime
) -> Outcome:
    """Undo a batch. A task that was changed again since stays as it is now, and is named."""
    entries = Entry.objects.filter(
        household=household, pk__in=list(entry_ids), undone_by=None, task__isnull=False
    )
    outcome = Outcome()
    for entry in entries.select_related("task", "task__household").order_by("-id"):
        task = entry.task
        assert task is not None
        if task.entries.filter(pk__gt=entry.pk).exists():
            outcome.refused.append(f"“{task.name}” stays: it has been changed again since.")
            continue
        done = change(task, actor=actor, did=Did.UNDONE, now=now, undoes=entry, **put_back(entry))
        outcome.entries.append(done.pk)
    return outcome


def _chosen(household: Household, task_ids: Collection[int]) -> list[Task]:
    found = with_chore(household).filter(pk__in=list(task_ids)[:MOST])
    return list(found.order_by("closes", "id"))


def _each(
    tasks: Iterable[Task],
    refusal: Callable[[Task], str],
    act: Callable[[Task], Entry | None],
) -> Outcome:
    outcome = Outcome()
    for task in tasks:
        words = refusal(task)
        if task.state != State.OPEN:
            words = f"It is {task.get_state_display().lower()} already."
        if words:
            outcome.refused.append(f"“{task.name}” stays. {words}")
            continue
        entry = act(task)
        if entry is not None:
            outcome.entries.append(entry.pk)
    return outcome


def _away(household: Household, tasks: Collection[Task], today: date) -> Presence:
    last = max((task.closes for task in tasks), default=today)
    return presence(household, today, max(last, today))


def _away_words(task: Task, to: Member, away: Presence, today: date, words: DateWords) -> str:
    """Away on every day that is left for it; what is late is for today."""
    first = max(task.day or task.opens, today)
    last = first if task.day else max(task.closes, first)
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    if not all(away.is_away(to.pk, day) for day in days):
        return ""
    when = words.near(first, today)
    if len(days) > 1:
        when = f"{when} to {words.near(last, today)}"
    return f"{to.name} is away {_on(when)}."


def _on(when: str) -> str:
    return when if when.startswith(("today", "tomorrow", "yesterday")) else f"on {when}"

"""Closes what nobody did: dishes lapse, and a carried task is due once, not once a week more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, OuterRef, QuerySet

from household.calc.recurrence.repeat import Kind
from household.chores.models import Chore, Did, Entry, Missed, State, Task
from household.chores.staging import come_round_again
from household.kit.writing import writes

AGAIN = "It came round again while it was still to do"
OVER = "Its days were over"
CHUNK = 500


@writes
def let_go(*, households: Sequence[int], today: date, now: datetime) -> int:
    """Lapse what is past its grace, and what an older open task of its chore stands for."""
    closed = sum(_close(tasks, OVER, now) for tasks in _past_grace(households, today))
    if closed:
        _come_round(households, today)
    return closed + _close(_carried_twice(households, today), AGAIN, now)


def _past_grace(households: Sequence[int], today: date) -> Iterator[QuerySet[Task]]:
    late = Task.objects.filter(
        state=State.OPEN, closes__lt=today, chore__missed=Missed.LAPSE, household__in=households
    )
    graces = late.order_by().values_list("chore__grace_days", flat=True).distinct()
    for grace in list(graces):
        yield late.filter(chore__grace_days=grace, closes__lt=today - timedelta(days=grace))


def _carried_twice(households: Sequence[int], today: date) -> QuerySet[Task]:
    older = Task.objects.filter(
        chore=OuterRef("chore"), state=State.OPEN, closes__lt=OuterRef("opens")
    )
    return Task.objects.filter(
        Exists(older),
        state=State.OPEN,
        opens__lte=today,
        chore__missed=Missed.CARRY,
        household__in=households,
    )


def _close(tasks: QuerySet[Task], reason: str, now: datetime) -> int:
    rows = list(tasks.order_by().values_list("id", "household_id", "chore_id", "area_id"))
    for start in range(0, len(rows), CHUNK):
        some = rows[start : start + CHUNK]
        Task.objects.filter(id__in=[row[0] for row in some]).update(
            state=State.LAPSED, reason=reason, sequence=F("sequence") + 1, changed_at=now
        )
        Entry.objects.bulk_create(
            Entry(
                household_id=household,
                task_id=task,
                chore_id=chore,
                area_id=area,
                did=Did.LAPSED,
                at=now,
                before={"state": State.OPEN, "reason": ""},
                after={"state": State.LAPSED, "reason": reason},
            )
            for task, household, chore, area in some
        )
    return len(rows)


def _come_round(households: Sequence[int], today: date) -> None:
    """Chores counted from when they were last done start again after one was let go."""
    waiting = Chore.objects.filter(
        household__in=households,
        repeat=Kind.AFTER_DONE,
        missed=Missed.LAPSE,
        archived_at=None,
        next_due=None,
    )
    still = Task.objects.filter(chore=OuterRef("pk"), state=State.OPEN)
    for chore in waiting.exclude(Exists(still)).select_related("household"):
        come_round_again(chore, today, today)

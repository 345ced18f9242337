"""Makes due tasks: copies each chore's staged task into a row, then stages the next one.

Set-based, so that a day costs what is due and not what exists: one INSERT .. SELECT a round,
one UPDATE for all chores that share a rhythm, and row by row only where holidays, absences or
turns make a chore a case of its own. Running it again writes nothing: a task is unique by
household, chore and occurrence, and nothing is staged twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.db import connection
from django.db.models import Min, QuerySet

from household.calc.recurrence.repeat import Due, Kind, due_next
from household.chores.models import Chore, State, Task
from household.chores.staging import STAGED, Calendar, advance, calendar_of, restage
from household.kit.writing import writes
from household.people.models import Household

CHUNK = 500  # rows a statement: well under the number of values any database allows


@writes
def make_due(*, households: Sequence[int], today: date, horizon: date, now: datetime) -> int:
    """Write every task that opens by `horizon` in these households; returns how many."""
    _catch_up(households, today)
    written, calendars = 0, dict[int, Calendar]()
    while _ready(households, horizon).exists():
        written += _insert(households, horizon, now)
        _finish(households, horizon)
        _advance_alike(households, horizon)
        _advance_singly(_ready(households, horizon).filter(rhythm=""), today, calendars)
    return written


def _ready(households: Sequence[int], horizon: date) -> QuerySet[Chore]:
    return Chore.objects.filter(
        archived_at=None, next_opens__lte=horizon, household_id__in=households
    ).order_by()


def _insert(households: Sequence[int], horizon: date, now: datetime) -> int:
    places = ", ".join(["%s"] * len(households))
    moment = connection.ops.adapt_datetimefield_value(now)
    sql = f"""
        INSERT INTO household_task (household_id, chore_id, occurrence, name, area_id, kind, level,
            minutes, opens, closes, time, day, member_id, helper, state, kept_minutes, reason, note,
            sequence, created_at, changed_at)
        SELECT c.household_id, c.id, c.next_due, c.name, c.area_id, c.kind, c.level,
            c.minutes, c.next_opens, c.next_closes, c.time,
            CASE WHEN c.next_opens = c.next_closes THEN c.next_opens END,
            c.next_member_id,
            '', 'open', 0, '', '', 0, %s, %s
        FROM household_chore c
        WHERE c.archived_at IS NULL AND c.next_opens <= %s AND c.household_id IN ({places})
        ON CONFLICT (household_id, chore_id, occurrence) DO NOTHING"""
    with connection.cursor() as cursor:
        cursor.execute(sql, [moment, moment, _day(horizon), *households])
        return int(cursor.rowcount)


def _finish(households: Sequence[int], horizon: date) -> None:
    """Chores that wait for being done, or come once, have nothing staged for now."""
    _ready(households, horizon).exclude(repeat=Kind.RULE).update(
        next_due=None, next_opens=None, next_closes=None
    )


def _advance_alike(households: Sequence[int], horizon: date) -> None:
    """All chores of one rhythm and one date move on together, with one UPDATE."""
    groups = list(
        _ready(households, horizon)
        .exclude(rhythm="")
        .values_list("rhythm", "next_due")
        .annotate(one=Min("id"))
    )
    _learn([(rhythm, day, one) for rhythm, day, one in groups if (rhythm, day) not in _following])
    steps = [(rhythm, day, _following[rhythm, day]) for rhythm, day, _ in groups]
    for chunk in _chunks(steps):
        _apply(chunk, households, horizon)


# What follows a date of a rhythm never changes, so it is worked out once for all households.
_following: dict[tuple[str, date], Due | None] = {}
_MOST_KNOWN = 50_000


def _learn(unknown: Sequence[tuple[str, date, int]]) -> None:
    if len(_following) > _MOST_KNOWN:
        _following.clear()
    chores = (
        Chore.objects.select_related("household").order_by().in_bulk([one for *_, one in unknown])
    )
    for rhythm, day, one in unknown:
        chore = chores[one]
        _following[rhythm, day] = due_next(
            chore.as_repeat(chore.household.first_weekday), after=day
        )


def _apply(
    steps: Sequence[tuple[str, date, Due | None]], households: Sequence[int], horizon: date
) -> None:
    cast = "::date" if connection.vendor == "postgresql" else ""
    row = f"(%s, %s{cast}, %s{cast}, %s{cast}, %s{cast})"
    values: list[Any] = []
    for rhythm, day, due in steps:
        values += [rhythm, _day(day)]
        values += [_day(due.occurrence), _day(due.opens), _day(due.closes)] if due else [None] * 3
    places = ", ".join(["%s"] * len(households))
    sql = f"""
        WITH step (rhythm, was, due, opens, closes) AS (VALUES {", ".join([row] * len(steps))})
        UPDATE household_chore SET next_due = step.due, next_opens = step.opens,
            next_closes = step.closes
        FROM step
        WHERE household_chore.rhythm = step.rhythm AND household_chore.next_due = step.was
            AND household_chore.archived_at IS NULL AND household_chore.next_opens <= %s
            AND household_chore.household_id IN ({places})"""
    with connection.cursor() as cursor:
        cursor.execute(sql, [*values, _day(horizon), *households])


def _catch_up(households: Sequence[int], today: date) -> None:
    """After a long downtime: stage only the last one that was missed, not all of them."""
    behind = (
        _ready(households, today)
        .filter(next_closes__lt=today, repeat=Kind.RULE)
        .select_related("household")
    )
    changed = []
    for chore in behind:
        repeat = chore.as_repeat(chore.household.first_weekday)
        due, missed = due_next(repeat, after=chore.next_due), None
        while due is not None and due.closes < today:
            missed, due = due, due_next(repeat, after=due.occurrence)
        if missed is not None:
            chore.next_due, chore.next_opens = missed.occurrence, missed.opens
            chore.next_closes = missed.closes
            changed.append(chore)
    Chore.objects.bulk_update(changed, ["next_due", "next_opens", "next_closes"], CHUNK)


def _advance_singly(chores: QuerySet[Chore], today: date, calendars: dict[int, Calendar]) -> None:
    """Chores that are each a case of their own. A home's calendar is worked out once a run."""
    moved = list(chores.select_related("household", "area__owner", "fixed"))
    for chore in moved:
        if chore.household_id not in calendars:
            calendars[chore.household_id] = calendar_of(chore.household, today)
        advance(chore, calendars[chore.household_id], today)
    Chore.objects.bulk_update(moved, STAGED, CHUNK)


@writes
def rewrite_future(
    *, household: Household, chores: Iterable[Chore], today: date, horizon: date, now: datetime
) -> None:
    """Something that dates depend on changed: drop the tasks nobody touched and make them anew.

    Overdue tasks stay, and so does every task that a person has moved, taken, ticked or skipped.
    """
    chosen = list(chores)
    Task.objects.filter(chore__in=chosen, state=State.OPEN, sequence=0, closes__gte=today).delete()
    calendar = calendar_of(household, today)
    for chore in chosen:
        chore.next_member = None
        chore.changed_at = now
        restage(chore, calendar, today)
    Chore.objects.bulk_update(chosen, [*STAGED, "changed_at"], CHUNK)
    make_due(households=[household.pk], today=today, horizon=horizon, now=now)


def _chunks(rows: Sequence[Any]) -> Iterable[Sequence[Any]]:
    return (rows[start : start + CHUNK] for start in range(0, len(rows), CHUNK))


def _day(value: date) -> Any:
    return connection.ops.adapt_datefield_value(value)

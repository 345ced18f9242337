"""A chore's rhythm and its due windows: the way in for whoever makes tasks."""

from __future__ import annotations

from collections.abc import Container, Hashable
from dataclasses import replace
from datetime import date

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.expand import plan
from household.calc.recurrence.kinds import Due, Kind, Repeat, Shift, Unit, Window
from household.calc.recurrence.nominal import endless, next_nominal, nominal_between
from household.calc.recurrence.rules import normalise
from household.calc.recurrence.shifting import Closures, settle

# Due tasks in a row that holidays and absences may drop before a search gives up: some years
# of a daily chore.
_TRIES = 1_000


def due_next(
    repeat: Repeat,
    *,
    after: date | None,
    last_done: date | None = None,
    holidays: Container[date] = (),
    away: Container[date] = (),
) -> Due | None:
    """The next due task whose occurrence is later than `after` (None: from the start).

    `away` are the days on which all who may do the chore are away. None if there is none, or
    if the next thousand are all dropped, as in an absence without end. A chore that repeats
    after it was done and is skipped waits once more, from the skipped day.
    """
    closures = Closures(holidays, away)
    for _ in range(_TRIES):
        occurrence = next_nominal(repeat, after=after, last_done=last_done)
        if occurrence is None:
            return None
        due = settle(repeat, occurrence, closures, last_done)
        if due is not None:
            return due
        after = occurrence
        last_done = occurrence if repeat.kind is Kind.AFTER_DONE else last_done
    return None


def due_between(
    repeat: Repeat,
    *,
    first: date,
    last: date,
    last_done: date | None = None,
    holidays: Container[date] = (),
    away: Container[date] = (),
) -> list[Due]:
    """The due tasks whose occurrence lies from `first` to `last`, both included.

    A chore that repeats after it was done has at most one: what follows is not known yet.
    """
    if repeat.kind is Kind.AFTER_DONE:
        due = due_next(repeat, after=None, last_done=last_done, holidays=holidays, away=away)
        return [due] if due is not None and first <= due.occurrence <= last else []
    closures = Closures(holidays, away)
    settled = (settle(repeat, on, closures) for on in nominal_between(repeat, first, last))
    return [due for due in settled if due is not None]


def preview(
    repeat: Repeat,
    *,
    after: date | None,
    count: int,
    last_done: date | None = None,
    holidays: Container[date] = (),
    away: Container[date] = (),
) -> list[Due]:
    """The next `count` due tasks, as if each were done on the last day of its window."""
    found: list[Due] = []
    while len(found) < count:
        due = due_next(repeat, after=after, last_done=last_done, holidays=holidays, away=away)
        if due is None:
            break
        found.append(due)
        after = due.occurrence
        if repeat.kind is Kind.AFTER_DONE:
            last_done = due.closes
    return found


def phase_key(repeat: Repeat) -> Hashable:
    """Repeats with equal keys have equal due tasks later than any `after` that is not before
    the start of either, less one day, holidays, absences and `last_done` being equal.

    "Every Monday" has one key whatever its start; "every second Monday" has two.
    """
    if repeat.kind is not Kind.RULE:
        return repeat
    rule, end = endless(repeat)
    shifts = (repeat.on_holiday, repeat.on_away)
    return (
        plan(rule, repeat.start),
        end,
        repeat.months,
        repeat.window,
        repeat.week_start if repeat.window is Window.WEEK else 0,
        shifts,
        # What moves earlier does not move to before the start.
        repeat.start if Shift.EARLIER in shifts else None,
    )


def for_saving(repeat: Repeat) -> Repeat:
    """The repeat to store: its rule normalised. Raises RuleError if it never comes round."""
    if repeat.kind is Kind.RULE:
        text = normalise(repeat.rule, repeat.start, repeat.months)
        repeat = replace(repeat, rule=text)
    if next_nominal(repeat, after=None) is None:
        raise RuleError(
            "It never falls in the months of its season. Add a month or change the day."
        )
    return repeat


__all__ = [
    "Due",
    "Kind",
    "Repeat",
    "Shift",
    "Unit",
    "Window",
    "due_between",
    "due_next",
    "for_saving",
    "next_nominal",
    "phase_key",
    "preview",
]

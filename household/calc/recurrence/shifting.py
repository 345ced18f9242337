"""Windows of days, and what becomes of them on public holidays and while people are away.

A task is moved only if every day of its window is closed, by a holiday or an absence that the
chore minds (its shift is not "keep"); an absence outranks a holiday. It moves to the nearest
window with a day that is neither a holiday nor an absence, whichever of them it minds.

Two things keep tasks from piling up. A moved task that would meet or pass another one of the
same chore is dropped: the other one serves. And nothing moves to before the chore's start or
the day it was last done; where "earlier" would have to, it goes later instead. A task that
finds no open day within a year stays where it was, so that it is not lost.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass
from datetime import date, timedelta

from household.calc.recurrence import civil
from household.calc.recurrence.kinds import Due, Kind, Repeat, Shift, Window
from household.calc.recurrence.nominal import ONE_DAY, nominal_between

_FARTHEST = timedelta(days=366)
Days = tuple[date, date]
"""A window: its first and its last day."""


@dataclass(frozen=True, slots=True)
class Closures:
    """The public holidays, and the days on which all who may do the chore are away."""

    holidays: Container[date] = ()
    away: Container[date] = ()

    def is_free(self, day: date) -> bool:
        return day not in self.holidays and day not in self.away


def window_of(repeat: Repeat, day: date) -> Days:
    """The days on which a task of nominal date `day` may be done, nothing closed."""
    if repeat.window is Window.DAY:
        return day, day
    if repeat.window is Window.MONTH:
        first, length = civil.month_span(day.year, day.month)
    else:
        index = civil.week_index(day.toordinal(), repeat.week_start)
        first, length = civil.week_first(index, repeat.week_start), 7
    last = min(first + length - 1, civil.LAST_DAY)
    return date.fromordinal(max(first, civil.FIRST_DAY)), date.fromordinal(last)


def settle(
    repeat: Repeat, occurrence: date, closures: Closures, last_done: date | None = None
) -> Due | None:
    """The due window of one nominal date after holidays and absences; None if it is dropped."""
    days = window_of(repeat, occurrence)
    shift = shift_at(repeat, days, closures)
    if shift is Shift.SKIP:
        return None
    if shift is Shift.KEEP:
        moved: Days | None = days
    elif shift is Shift.EARLIER:
        moved = _moved_earlier(repeat, days, closures, last_done)
    else:
        moved = _moved_later(repeat, days, closures, serving=(Shift.KEEP, Shift.LATER))
    if moved is None:
        return None
    opens, closes = moved
    if repeat.kind is Kind.AFTER_DONE and last_done is not None:
        opens = max(opens, last_done + ONE_DAY)
    return Due(occurrence, opens, closes)


def shift_at(repeat: Repeat, days: Days, closures: Closures) -> Shift:
    """What is to happen to a task with this window; KEEP also when a day of it is open."""
    minds_holidays = repeat.on_holiday is not Shift.KEEP
    minds_absences = repeat.on_away is not Shift.KEEP
    if not (minds_holidays or minds_absences):
        return Shift.KEEP
    some_away = False
    for day in _each(days):
        away = minds_absences and day in closures.away
        if not (away or (minds_holidays and day in closures.holidays)):
            return Shift.KEEP
        some_away = some_away or away
    return repeat.on_away if some_away else repeat.on_holiday


def _moved_later(
    repeat: Repeat, days: Days, closures: Closures, serving: tuple[Shift, ...]
) -> Days | None:
    target = days
    while target[1] - days[1] <= _FARTHEST and target[1] < date.max:
        target = window_of(repeat, target[1] + ONE_DAY)
        if any(closures.is_free(day) for day in _each(target)):
            served = _served(repeat, (days[1] + ONE_DAY, target[1]), closures, serving)
            return None if served else target
    return days


def _moved_earlier(
    repeat: Repeat, days: Days, closures: Closures, last_done: date | None
) -> Days | None:
    floor = repeat.start if last_done is None else max(repeat.start, last_done + ONE_DAY)
    target = days
    while days[0] - target[0] <= _FARTHEST and target[0] > floor:
        target = window_of(repeat, target[0] - ONE_DAY)
        if any(closures.is_free(day) and day >= floor for day in _each(target)):
            before = (target[0], days[0] - ONE_DAY)
            served = _served(repeat, before, closures, (Shift.KEEP, Shift.EARLIER))
            return None if served else target
    # The others that had to go later with this one serve as well.
    return _moved_later(repeat, days, closures, serving=(Shift.KEEP, Shift.EARLIER, Shift.LATER))


def _served(repeat: Repeat, days: Days, closures: Closures, serving: tuple[Shift, ...]) -> bool:
    """Whether another task of the chore in these days makes a moved one needless."""
    if repeat.kind is not Kind.RULE:
        return False
    return any(
        shift_at(repeat, window_of(repeat, other), closures) in serving
        for other in nominal_between(repeat, *days)
    )


def _each(days: Days) -> list[date]:
    return [date.fromordinal(n) for n in range(days[0].toordinal(), days[1].toordinal() + 1)]

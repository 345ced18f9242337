"""On which days the chores of a new plan begin, so that not everything falls on the same day.

The rules, all common practice without a source, and the same plan for the same question:
- What names its own days keeps them; daily chores too. They are placed first.
- A chore for any day of its week gets the weekday, one for any day of its month the nth weekday
  (such as the second Saturday), whose fullest day leaves the most minutes free.
- What is counted from the last time has no last time yet: its first day is looked for within
  its own wait, and within eight weeks.
- Of days equally good the earliest is taken. Frequent chores choose before rare ones, long
  ones before short ones.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from household.calc.recurrence.nominal import add, nominal_between
from household.calc.recurrence.repeat import Kind, Repeat, Unit, Window

SPAN = 56
"""Days looked at: eight weeks hold each weekday eight times, and each nth weekday once."""
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_WEEKLY = re.compile(r"FREQ=WEEKLY(?:;INTERVAL=(\d+))?")
_MONTHLY = re.compile(r"FREQ=MONTHLY(?:;INTERVAL=(\d+))?;BYMONTHDAY=1")
_YEAR = 364
_WEEKS = 52
_ONE = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A chore that is to begin: any key of its own, its minutes, and its rhythm."""

    key: str
    minutes: int
    repeat: Repeat


@dataclass(frozen=True, slots=True)
class Begun:
    """The rhythm with its days. grace_days: days it may be late without being let go, for a
    chore that had a whole week (2) or month (7) before it got a day of its own."""

    repeat: Repeat
    grace_days: int = 0


@dataclass(frozen=True, slots=True)
class Round:
    """A chore that goes round: its minutes a week and those who take turns, by id, in order."""

    key: str
    minutes: Fraction
    order: Sequence[int]


def spread(
    wanted: Iterable[Wanted],
    *,
    free: Sequence[int],
    today: date,
    taken: Mapping[date, int] | None = None,
) -> dict[str, Begun]:
    """The rhythm that each chore begins with, by its key.

    free: minutes of everybody together, seven figures, Monday first. taken: minutes that days
    already ask for.
    """
    span = [today + timedelta(days=step) for step in range(SPAN)]
    room = {day: free[day.weekday()] - (taken or {}).get(day, 0) for day in span}
    choices = {each.key: (each, list(_beginnings(each.repeat, today))) for each in wanted}
    begun: dict[str, Begun] = {}
    for each, ways in sorted(choices.values(), key=_first_to_choose):
        best = max(ways, key=lambda way: _least_left(way, each.minutes, room))
        for day in best.days:
            room[day] -= each.minutes
        begun[each.key] = Begun(best.repeat, best.grace_days)
    return {key: begun[key] for key in choices}


def week_minutes(repeat: Repeat, minutes: int) -> Fraction:
    """Minutes a week over a year, what waits for being done taken as done on its day."""
    if repeat.kind is Kind.ONCE:
        return Fraction(0)
    if repeat.kind is Kind.AFTER_DONE:
        return Fraction(minutes * 7 * len(repeat.months), _wait(repeat) * 12)
    last = repeat.start + timedelta(days=_YEAR - 1)
    return Fraction(minutes * len(nominal_between(repeat, repeat.start, last)), _WEEKS)


def first_turns(rounds: Iterable[Round], shares: Mapping[int, int]) -> dict[str, int | None]:
    """Who comes *before* the first turn of each, so that not one person begins everything.

    Each begins with whoever has begun the fewest minutes for their agreed share; None where
    only one takes turns. shares: weight by id; somebody without one begins only what nobody
    else may.
    """
    given: dict[int, Fraction] = {}
    before: dict[str, int | None] = {}
    for each in sorted(rounds, key=lambda each: (-each.minutes, each.key)):
        if not each.order:
            before[each.key] = None
            continue
        begins = min(each.order, key=lambda one: _given_with(each, one, given, shares))
        given[begins] = given.get(begins, Fraction(0)) + each.minutes
        place = each.order.index(begins)
        before[each.key] = each.order[place - 1] if len(each.order) > 1 else None
    return before


@dataclass(frozen=True, slots=True)
class _Way:
    """One way for a chore to begin, and the days of the span on which it would fall."""

    repeat: Repeat
    days: tuple[date, ...]
    grace_days: int


def _beginnings(repeat: Repeat, today: date) -> Iterator[_Way]:
    for each, grace in _phases(repeat, today):
        yield _Way(each, tuple(_days(each, today)), grace)


def _phases(repeat: Repeat, today: date) -> Iterator[tuple[Repeat, int]]:
    here = replace(repeat, start=today) if repeat.start < today else repeat
    weekly, monthly = _WEEKLY.fullmatch(repeat.rule), _MONTHLY.fullmatch(repeat.rule)
    if repeat.kind is Kind.AFTER_DONE:
        ways = [
            (replace(here, start=day), 0)
            for day in _from(today, min(_wait(repeat), SPAN))
            if day.month in repeat.months
        ]
    elif repeat.kind is Kind.RULE and repeat.window is Window.WEEK and weekly:
        ways = [(_on_weekday(here, day), 2) for day in _from(today, 7 * int(weekly[1] or 1))]
    elif repeat.kind is Kind.RULE and repeat.window is Window.MONTH and monthly:
        ways = [
            (_on_nth(here, day), 7)
            for day in _from(today, min(31 * int(monthly[1] or 1), SPAN))
            if day.day <= 28
        ]
    else:
        ways = []
    return iter(ways or [(here, 0)])


def _on_weekday(repeat: Repeat, day: date) -> Repeat:
    rule = f"{repeat.rule};BYDAY={WEEKDAYS[day.weekday()]}"
    return replace(repeat, rule=rule, window=Window.DAY, start=day)


def _on_nth(repeat: Repeat, day: date) -> Repeat:
    nth = f"{(day.day - 1) // 7 + 1}{WEEKDAYS[day.weekday()]}"
    rule = repeat.rule.replace("BYMONTHDAY=1", f"BYDAY={nth}")
    return replace(repeat, rule=rule, window=Window.DAY, start=day)


def _days(repeat: Repeat, today: date) -> Iterator[date]:
    last = today + timedelta(days=SPAN - 1)
    if repeat.kind is not Kind.AFTER_DONE:
        if repeat.window is Window.DAY:
            yield from nominal_between(repeat, today, last)
        return
    day: date | None = repeat.start
    while day is not None and day <= last:
        if day.month in repeat.months:
            yield day
        day = add(day, repeat.every, repeat.unit)


def _least_left(way: _Way, minutes: int, room: Mapping[date, int]) -> int:
    """Minutes left on the fullest of its days; without a day in the span, nothing is taken."""
    return min((room[day] - minutes for day in way.days), default=max(room.values()))


def _first_to_choose(choice: tuple[Wanted, list[_Way]]) -> tuple[bool, int, int, str]:
    each, ways = choice
    return len(ways) > 1, -len(ways[0].days), -each.minutes, each.key


def _given_with(
    each: Round, one: int, given: Mapping[int, Fraction], shares: Mapping[int, int]
) -> tuple[bool, Fraction, int]:
    share = shares.get(one, 0)
    minutes = given.get(one, Fraction(0)) + each.minutes
    return share <= 0, minutes / max(share, 1), each.order.index(one)


def _wait(repeat: Repeat) -> int:
    """Days between two times, a month taken as 30."""
    return repeat.every * {Unit.DAYS: 1, Unit.WEEKS: 7, Unit.MONTHS: 30}[repeat.unit]


def _from(today: date, days: int) -> Iterator[date]:
    return (today + step * _ONE for step in range(days))

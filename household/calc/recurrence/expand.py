"""The periods of a rule (a day, a week, a month or a year), expanded one at a time.

The period that holds a given day is found by arithmetic from the phase of the start, so asking
an old rule for next week costs what asking a new one costs. python-dateutil walks from the
start; it also looks at UNTIL only when it has found a date, so that a rule without dates runs
on to the year 9999. Here a search ends after one turn of the calendar, which repeats exactly
every 400 years: nothing found by then is nothing ever.

Where RFC 5545 and dateutil 2.9 differ, the RFC is followed:
 - "MO,1FR" in BYDAY is every Monday and the first Friday (dateutil wants both at once);
 - BYWEEKNO follows ISO 8601 over the new year (dateutil puts 1 January 2022 in week 53);
 - BYWEEKNO alone takes the weekday of the start, as 3.3.10 says of whatever a rule leaves out;
 - BYSETPOS counts from the beginning of the week, also in the week of the start.
Where the RFC says nothing: with INTERVAL above 1, a numbered week that lies in two years gives
each of them the days it has there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import lru_cache
from math import gcd

from household.calc.recurrence import civil
from household.calc.recurrence.model import Freq, Rule, WeekdayNum

# Periods after which the Gregorian calendar (400 years, 146,097 days) repeats.
_TURN = {Freq.DAILY: 146_097, Freq.WEEKLY: 20_871, Freq.MONTHLY: 4_800, Freq.YEARLY: 400}


@dataclass(frozen=True, slots=True)
class Plan:
    """A rule with its start: what the rule leaves out written out, and the start's phase.

    `phase` is the number of the start's period, modulo the interval. Two plans that are equal
    give the same dates from the later of their starts on. `times` are the times of day, only
    midnight for a rule of dates. COUNT and UNTIL are not part of it.
    """

    freq: Freq
    interval: int
    phase: int
    week_start: int
    months: tuple[int, ...]
    week_numbers: tuple[int, ...]
    year_days: tuple[int, ...]
    month_days: tuple[int, ...]
    week_days: tuple[WeekdayNum, ...]
    positions: tuple[int, ...]
    times: tuple[time, ...]

    def period_of(self, day: int) -> int:
        if self.freq is Freq.DAILY:
            return day
        if self.freq is Freq.WEEKLY:
            return civil.week_index(day, self.week_start)
        on = date.fromordinal(day)
        return on.year if self.freq is Freq.YEARLY else 12 * on.year + on.month - 1

    @property
    def turn(self) -> int:
        """Periods of this rule after which everything repeats."""
        whole = _TURN[self.freq]
        return whole // gcd(whole, self.interval)


@lru_cache(maxsize=8192)
def plan(rule: Rule, start: date | datetime) -> Plan:
    """The plan of `rule` from `start`: a date for a chore, a naive datetime for moments."""
    day = start.toordinal()
    months, month_days, week_days = rule.by_month, rule.by_month_day, rule.by_day
    if not (month_days or week_days or rule.by_year_day):
        if rule.freq is Freq.WEEKLY or rule.by_week_no:
            week_days = (WeekdayNum(civil.weekday(day)),)
        elif rule.freq is Freq.MONTHLY:
            month_days = (start.day,)
        elif rule.freq is Freq.YEARLY:
            months, month_days = months or (start.month,), (start.day,)
    # WKST matters only here; elsewhere equal rules shall have equal plans.
    weeks_matter = rule.freq is Freq.WEEKLY and (rule.interval > 1 or rule.by_set_pos)
    draft = Plan(
        freq=rule.freq,
        interval=rule.interval,
        phase=0,
        week_start=rule.week_start if weeks_matter or rule.by_week_no else 0,
        months=months,
        week_numbers=rule.by_week_no,
        year_days=rule.by_year_day,
        month_days=month_days,
        week_days=week_days,
        positions=rule.by_set_pos,
        times=_times(rule, start),
    )
    return replace(draft, phase=draft.period_of(day) % rule.interval)


def _times(rule: Rule, start: date | datetime) -> tuple[time, ...]:
    at = start.time() if isinstance(start, datetime) else time.min
    return tuple(
        time(hour, minute, second)
        for hour in rule.by_hour or (at.hour,)
        for minute in rule.by_minute or (at.minute,)
        for second in rule.by_second or (at.second,)
    )


def days(plan: Plan, low: int, high: int = civil.LAST_DAY) -> Iterator[int]:
    """Day numbers of a rule without times, from `low` to `high`, both included."""
    for day, _ in instances(plan, low, high):
        yield day


def instances(plan: Plan, low: int, high: int = civil.LAST_DAY) -> Iterator[tuple[int, time]]:
    """Day number and time of each instance from day `low` to day `high`, in order.

    Ends early once a whole turn of the calendar has had none.
    """
    if low > high:
        return
    period = plan.period_of(low)
    period += (plan.phase - period) % plan.interval
    last = plan.period_of(high)
    barren = 0
    while period <= last and barren < plan.turn:
        found = period_instances(plan, period)
        barren = 0 if found else barren + 1
        for day, at in found:
            if low <= day <= high:
                yield day, at
        period += plan.interval


def period_instances(plan: Plan, period: int) -> list[tuple[int, time]]:
    """All instances of one period, BYSETPOS applied."""
    on = period_days(plan, period)
    times = plan.times
    if not plan.positions:
        return [(day, at) for day in on for at in times]
    size = len(on) * len(times)
    picked = {position - 1 if position > 0 else size + position for position in plan.positions}
    return [
        (on[index // len(times)], times[index % len(times)])
        for index in sorted(picked)
        if 0 <= index < size
    ]


def period_days(plan: Plan, period: int) -> list[int]:
    """The days of one period that every BY part lets through, in order."""
    if plan.freq is Freq.DAILY:
        return [period] if _lets_through(plan, period) else []
    if plan.freq is Freq.WEEKLY:
        first = civil.week_first(period, plan.week_start)
        on = sorted(_on_week_days(plan.week_days, (first, 7)))
        return [day for day in on if _in_months(plan, day)]
    if plan.freq is Freq.MONTHLY:
        year, month = divmod(period, 12)
        if plan.months and month + 1 not in plan.months:
            return []
        spans = [civil.month_span(year, month + 1)]
        return _common(_by_month_and_week_day(plan, spans, spans))
    return _common(_year_parts(plan, period))


def _year_parts(plan: Plan, year: int) -> Iterator[set[int]]:
    """The days of a year that each part of the rule names; the rule's days are common to all."""
    whole = civil.year_span(year)
    months = [civil.month_span(year, month) for month in plan.months or range(1, 13)]
    # RFC 5545: 1MO is the first Monday of the month if BYMONTH is there, else of the year.
    yield from _by_month_and_week_day(plan, months, months if plan.months else [whole])
    if plan.year_days:
        yield _numbered(plan.year_days, whole)
    if plan.week_numbers:
        yield _in_numbered_weeks(plan, year)
    if plan.months and (plan.year_days or plan.week_numbers):
        yield {day for first, length in months for day in range(first, first + length)}


def _by_month_and_week_day(
    plan: Plan, months: list[civil.Span], scopes: list[civil.Span]
) -> Iterator[set[int]]:
    if plan.month_days:
        yield set().union(*(_numbered(plan.month_days, month) for month in months))
    if plan.week_days:
        yield set().union(*(_on_week_days(plan.week_days, scope) for scope in scopes))


def _common(parts: Iterable[set[int]]) -> list[int]:
    return sorted(set.intersection(*parts))


def _numbered(numbers: tuple[int, ...], span: civil.Span) -> set[int]:
    """Days by their number in the span; -1 is the last. Numbers it does not have are left out."""
    first, length = span
    offsets = (number - 1 if number > 0 else length + number for number in numbers)
    return {first + offset for offset in offsets if 0 <= offset < length}


def _on_week_days(week_days: tuple[WeekdayNum, ...], span: civil.Span) -> set[int]:
    first, length = span
    on: set[int] = set()
    for weekday, ordinal in week_days:
        all_such = range(first + (weekday - civil.weekday(first)) % 7, first + length, 7)
        if ordinal == 0:
            on.update(all_such)
        elif abs(ordinal) <= len(all_such):
            on.add(all_such[ordinal - 1 if ordinal > 0 else ordinal])
    return on


def _in_numbered_weeks(plan: Plan, year: int) -> set[int]:
    first, length = civil.year_span(year)
    on: set[int] = set()
    # The year's first days may belong to the last week of the year before, its last days to
    # week 1 of the year after.
    for owner in (year - 1, year, year + 1):
        week_one, weeks = civil.numbered_weeks(owner, plan.week_start)
        for number in plan.week_numbers:
            week = number if number > 0 else weeks + number + 1
            if 1 <= week <= weeks:
                on.update(range(week_one + 7 * (week - 1), week_one + 7 * week))
    return {day for day in on if first <= day < first + length}


def _in_months(plan: Plan, day: int) -> bool:
    if not plan.months:
        return True
    return civil.FIRST_DAY <= day <= civil.LAST_DAY and date.fromordinal(day).month in plan.months


def _lets_through(plan: Plan, day: int) -> bool:
    """Whether a daily rule keeps this day."""
    if plan.week_days and (civil.weekday(day), 0) not in plan.week_days:
        return False
    if not _in_months(plan, day):
        return False
    if not plan.month_days:
        return True
    on = date.fromordinal(day)
    return day in _numbered(plan.month_days, civil.month_span(on.year, on.month))

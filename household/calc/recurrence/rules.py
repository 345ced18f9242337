"""Read, check and write the text of a rule. Everything that could hang or mislead is refused.

Source: RFC 5545 section 3.3.10. Stricter than it: nothing faster than DAILY, INTERVAL at most
1,000, COUNT at most 5,000, and no rule without a single day. Kinder: lower case, an "RRULE:" in
front, parts in any order, and, for a chore, an UNTIL with a time, of which the written day
counts. A DTSTART that the rule does not name is not one of its dates; the RFC leaves that open.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.expand import days, instances, plan
from household.calc.recurrence.model import Freq, Rule, WeekdayNum
from household.calc.recurrence.parts import MAX_LENGTH, MAX_TIMES_A_DAY, ReadParts, read

ALL_MONTHS = frozenset(range(1, 13))


def parse(text: str, *, timed: bool = False) -> Rule:
    """The rule in `text`, with or without "RRULE:". `timed` allows BYHOUR, BYMINUTE, BYSECOND.

    Raises RuleError, at once, for whatever cannot be used.
    """
    if len(text) > MAX_LENGTH:
        raise RuleError(
            f"The rule is longer than {MAX_LENGTH} characters. Write it shorter or make two chores."
        )
    return _parse(text, timed)


@lru_cache(maxsize=8192)
def _parse(text: str, timed: bool) -> Rule:
    parts = read(text)
    freq = parts.freq
    if freq is None:
        raise RuleError("The rule does not say how often. Begin with FREQ=, such as FREQ=WEEKLY.")
    if parts.count is not None and parts.until is not None:
        raise RuleError("A rule ends by COUNT or by UNTIL, not by both. Leave one of them out.")
    if not timed and (parts.by_hour or parts.by_minute or parts.by_second):
        raise RuleError(
            "A chore falls on days, not at hours. Leave out BYHOUR, BYMINUTE and BYSECOND."
        )
    _refuse_what_does_not_fit(freq, parts)
    until = parts.until
    if isinstance(until, datetime) and not timed:
        until = until.date()
    rule = Rule(
        freq=freq,
        interval=parts.interval,
        count=parts.count,
        until=until,
        by_month=parts.by_month,
        by_week_no=parts.by_week_no,
        by_year_day=parts.by_year_day,
        by_month_day=parts.by_month_day,
        by_day=parts.by_day,
        by_hour=parts.by_hour,
        by_minute=parts.by_minute,
        by_second=parts.by_second,
        by_set_pos=parts.by_set_pos,
        week_start=parts.week_start,
    )
    _refuse_never(rule)
    return rule


def _refuse_what_does_not_fit(freq: Freq, parts: ReadParts) -> None:
    """The combinations that RFC 5545 3.3.10 rules out, and positions of nothing."""
    if parts.by_week_no and freq is not Freq.YEARLY:
        raise RuleError("BYWEEKNO works with FREQ=YEARLY only. Change FREQ or leave it out.")
    if parts.by_year_day and freq is not Freq.YEARLY:
        raise RuleError("BYYEARDAY works with FREQ=YEARLY only. Change FREQ or leave it out.")
    if parts.by_month_day and freq is Freq.WEEKLY:
        raise RuleError("BYMONTHDAY does not work with FREQ=WEEKLY. Use FREQ=MONTHLY or BYDAY.")
    _check_ordinals(freq, parts)
    if parts.by_set_pos and not parts.has_other_by_part:
        raise RuleError(
            "BYSETPOS picks from what other parts name. Add one, such as BYDAY, or leave it out."
        )
    times = max(len(parts.by_hour), 1) * max(len(parts.by_minute), 1) * max(len(parts.by_second), 1)
    if times > MAX_TIMES_A_DAY:
        raise RuleError(
            f"The rule has {times} times a day; {MAX_TIMES_A_DAY} are the most. Name fewer times."
        )
    # One day's instances are all that a daily rule has to pick from.
    if freq is Freq.DAILY and any(abs(position) > times for position in parts.by_set_pos):
        raise RuleError(
            "BYSETPOS picks beyond the end of each day’s list, so the rule never falls on any "
            "day. Use FREQ=MONTHLY or leave BYSETPOS out."
        )


def _check_ordinals(freq: Freq, parts: ReadParts) -> None:
    numbered = [day for day in parts.by_day if day.ordinal]
    if not numbered:
        return
    shown = numbered[0].text()
    if freq not in (Freq.MONTHLY, Freq.YEARLY):
        raise RuleError(
            f"BYDAY={shown} with its number needs FREQ=MONTHLY or YEARLY. "
            "Leave the number out or change FREQ."
        )
    if parts.by_week_no:
        raise RuleError(f"BYDAY={shown} cannot stand beside BYWEEKNO. Leave the number out.")
    in_month = freq is Freq.MONTHLY or bool(parts.by_month)
    for day in numbered:
        if in_month and abs(day.ordinal) > 5:
            raise RuleError(
                f"No month has a {day.text()}: the number in BYDAY goes from -5 to 5 there."
            )


def _refuse_never(rule: Rule) -> None:
    """Refuse a rule that has no day whatever its start, such as 30 February."""
    every = replace(rule, interval=1)
    if rule.freq is Freq.DAILY:
        # Day by day through 400 years would be slow; year by year the same parts let the same
        # days through. BYSETPOS has been checked against the times of one day.
        every = replace(every, freq=Freq.YEARLY, by_set_pos=())
    if rule.by_week_no and not (rule.by_day or rule.by_month_day or rule.by_year_day):
        # The weekday will be the start's, whichever that is.
        every = replace(every, by_day=tuple(WeekdayNum(day) for day in range(7)))
    start = date(2000, 1, 1)
    if next(instances(plan(every, start), start.toordinal()), None) is None:
        raise RuleError(
            "This rule never falls on any day: its parts exclude one another, "
            "such as 30 February. Change the day or the month."
        )


@lru_cache(maxsize=8192)
def last_day(rule: Rule, start: date, months: frozenset[int] = ALL_MONTHS) -> date:
    """The day after which a chore's rule has no more dates, by its UNTIL or its COUNT.

    COUNT counts the dates in `months`, so "10 times, April to October" is ten times done. Kept
    in memory, since COUNT has to be counted from the start, once.
    """
    if rule.count is not None:
        last, found = start, 0
        for day in days(plan(rule, start), start.toordinal()):
            on = date.fromordinal(day)
            if on.month in months:
                last, found = on, found + 1
                if found == rule.count:
                    break
        return last
    if rule.until is None:
        return date.max
    return rule.until.date() if isinstance(rule.until, datetime) else rule.until


def check(rule: Rule, start: date) -> None:
    """Raise RuleError if a chore's rule has no date at all on or after `start`."""
    if rule.until is not None and last_day(rule, start) < start:
        raise RuleError(
            f"The rule ends on {last_day(rule, start)}, before it starts on {start}. "
            "Choose a later end or an earlier start."
        )
    end = last_day(replace(rule, count=None), start)
    if next(days(plan(rule, start), start.toordinal(), end.toordinal()), None) is None:
        raise RuleError(
            f"This rule has no date from {start} on{_by_end(rule)}. "
            "Change the start, the interval or the day."
        )


def _by_end(rule: Rule) -> str:
    return "" if rule.until is None else " that comes before its end"


def normalise(text: str, start: date, months: frozenset[int] = ALL_MONTHS) -> str:
    """The text to save for a chore: canonical, COUNT turned into the UNTIL of its last date.

    `months` is the chore's season, which COUNT respects. Raises RuleError, also if the rule has
    no date from `start` on.
    """
    rule = parse(text)
    check(rule, start)
    if rule.count is not None:
        rule = replace(rule, count=None, until=last_day(rule, start, months))
    return rule.text()

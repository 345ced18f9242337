"""The days of a chore's rule, and the moments of a rule with times.

What a call costs depends on the window asked for, not on how long the rule has been running.
The start itself counts only if the rule names it. After its end a rule simply has no dates.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date, datetime, timedelta
from heapq import merge
from itertools import islice

from household.calc.recurrence.expand import days, instances, plan
from household.calc.recurrence.model import Rule
from household.calc.recurrence.rules import last_day
from household.calc.recurrence.zone import attach


def between(rule: Rule, *, start: date, first: date, last: date) -> list[date]:
    """The rule's dates from `first` to `last`, both included."""
    return list(from_day(rule, start=start, day=first, last=last))


def upcoming(rule: Rule, *, start: date, after: date, count: int) -> list[date]:
    """The next `count` dates later than `after`; fewer if the rule ends."""
    if after == date.max:
        return []
    found = from_day(rule, start=start, day=after + timedelta(days=1))
    return list(islice(found, count))


def next_on_or_after(rule: Rule, *, start: date, day: date) -> date | None:
    """The first date that is not before `day`; None if there is none, ever."""
    return next(from_day(rule, start=start, day=day), None)


def from_day(rule: Rule, *, start: date, day: date, last: date = date.max) -> Iterator[date]:
    """The dates from `day` to `last`, one at a time."""
    end = min(last, last_day(rule, start))
    for on in days(plan(rule, start), max(day, start).toordinal(), end.toordinal()):
        yield date.fromordinal(on)


def moments(
    rules: Sequence[Rule],
    *,
    start: datetime,
    tz: str,
    exdates: Collection[datetime] = (),
    first: datetime | None = None,
    last: datetime | None = None,
    count: int | None = None,
) -> list[datetime]:
    """The moments of one or more rules with times, in order, each once, in zone `tz`.

    `start`, `exdates`, `first` and `last` (both included) are local wall times without a zone.
    Give `last`, `count` or both. UNTIL in UTC is a moment, so it may cut a day earlier than its
    date looks; UNTIL as a date includes that whole day. RFC 5545 section 3.8.5.3.
    """
    if last is None and count is None:
        raise ValueError("moments needs last or count")
    excluded = frozenset(exdates)
    walls = merge(*(_wall_times(rule, start, tz, first or start, last) for rule in rules))
    found: dict[datetime, None] = {}
    for wall in walls:
        if count is not None and len(found) >= count:
            break
        if wall not in excluded:
            found.setdefault(attach(wall, tz))
    return sorted(found)


def _wall_times(
    rule: Rule, start: datetime, tz: str, first: datetime, last: datetime | None
) -> Iterator[datetime]:
    # COUNT has to be counted from the start; without it the walk begins at the window.
    begin = start if rule.count is not None else max(start, first)
    high = date.max if last is None else last.date()
    found = (
        datetime.combine(date.fromordinal(day), at)
        for day, at in instances(plan(rule, start), begin.toordinal(), high.toordinal())
    )
    from_begin = (wall for wall in found if wall >= begin)
    for wall in islice(from_begin, rule.count):
        if (last is not None and wall > last) or _is_over(rule, wall, tz):
            return
        if wall >= first:
            yield wall


def _is_over(rule: Rule, wall: datetime, tz: str) -> bool:
    if rule.until is None:
        return False
    if not isinstance(rule.until, datetime):
        return wall.date() > rule.until
    return (wall if rule.until.tzinfo is None else attach(wall, tz)) > rule.until

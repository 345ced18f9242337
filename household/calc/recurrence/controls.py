"""What a person can set about a chore's rhythm with plain controls, to and from a Repeat."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from household.calc.recurrence import civil
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.expand import plan
from household.calc.recurrence.kinds import Kind, Repeat, Shift, Unit, Window
from household.calc.recurrence.model import Freq, Rule, WeekdayNum
from household.calc.recurrence.parts import MAX_COUNT, MAX_INTERVAL
from household.calc.recurrence.rules import ALL_MONTHS, parse

LAST = -1
"""The last day of the month, or the last such weekday."""
MAX_GRACE_DAYS = 366


class Counted(StrEnum):
    CALENDAR = "calendar"
    LAST_DONE = "last_done"
    ONCE = "once"


class Step(StrEnum):
    DAYS = "days"
    WEEKS = "weeks"
    MONTHS = "months"
    YEARS = "years"


class By(StrEnum):
    """How a month's or a year's day is named: by its date, or as the nth weekday."""

    DATE = "date"
    WEEKDAY = "weekday"


class Ends(StrEnum):
    NEVER = "never"
    ON_DATE = "on_date"
    AFTER_TIMES = "after_times"


class Missed(StrEnum):
    """What becomes of a task not done in its window."""

    CARRY = "carry"
    LAPSE = "lapse"


@dataclass(frozen=True, slots=True)
class Controls:
    """Plain controls. Raises RuleError if they do not fit together.

    counted, every, step   from the calendar or the day last done, every so many days ...; once
    weekdays               for weeks; empty means the weekday of the start
    by, day, month         for months and years by date: 1 to 31 or LAST, None the start's
    short_month_last       day 29, 30 or 31: the last day where the month is shorter; else
                           such a month is left out
    nth, weekday           for months and years by weekday: first to fourth, or LAST
    ends, until, times     never, after a date, or after so many times
    window                 the task's own day, or any day of its week or month
    missed, grace_days     carried over until done, or lapsed so many days after its window;
                           kept with the chore, not in the Repeat
    """

    counted: Counted = Counted.CALENDAR
    every: int = 1
    step: Step = Step.WEEKS
    weekdays: frozenset[int] = frozenset()
    by: By = By.DATE
    day: int | None = None
    month: int | None = None
    short_month_last: bool = True
    nth: int = 1
    weekday: int = 0
    ends: Ends = Ends.NEVER
    until: date | None = None
    times: int | None = None
    window: Window = Window.DAY
    months: frozenset[int] = ALL_MONTHS
    on_holiday: Shift = Shift.KEEP
    on_away: Shift = Shift.KEEP
    missed: Missed = Missed.CARRY
    grace_days: int = 0

    def __post_init__(self) -> None:
        for wrong, message in (
            (not 1 <= self.every <= MAX_INTERVAL, f"Every so many: from 1 to {MAX_INTERVAL:,}."),
            (not self.weekdays <= set(range(7)), "Choose weekdays from Monday to Sunday."),
            (
                self.day is not None and not (1 <= self.day <= 31 or self.day == LAST),
                "The day of the month is from 1 to 31, or the last day.",
            ),
            (
                self.month is not None and not 1 <= self.month <= 12,
                "The month is from January to December.",
            ),
            (self.nth not in (1, 2, 3, 4, LAST), "Choose the first to the fourth, or the last."),
            (not 0 <= self.weekday <= 6, "Choose a weekday from Monday to Sunday."),
            (self.ends is Ends.ON_DATE and self.until is None, "Say on which date it ends."),
            (
                self.ends is Ends.AFTER_TIMES and not 1 <= (self.times or 0) <= MAX_COUNT,
                f"Say after how many times it ends, from 1 to {MAX_COUNT:,}.",
            ),
            (
                not 0 <= self.grace_days <= MAX_GRACE_DAYS,
                f"The days of grace are from 0 to {MAX_GRACE_DAYS}.",
            ),
            (self._window_does_not_fit, "Any day of the week or month needs a longer step."),
        ):
            if wrong:
                raise RuleError(message)

    @property
    def _window_does_not_fit(self) -> bool:
        if self.counted is not Counted.CALENDAR:
            return False
        too_short = {Window.WEEK: (Step.DAYS,), Window.MONTH: (Step.DAYS, Step.WEEKS)}
        return self.step in too_short.get(self.window, ())


def to_repeat(controls: Controls, start: date, week_start: int = 0) -> Repeat:
    """The Repeat that these controls mean. `week_start` is the household's, Monday = 0.

    "After N times" stays a COUNT here; `repeat.for_saving` turns it into a last date.
    """
    repeat = Repeat(
        kind=Kind.ONCE,
        start=start,
        window=controls.window,
        months=controls.months,
        on_holiday=controls.on_holiday,
        on_away=controls.on_away,
        week_start=week_start,
    )
    if controls.counted is Counted.ONCE:
        return replace(repeat, months=ALL_MONTHS)
    if controls.counted is Counted.CALENDAR:
        return replace(repeat, kind=Kind.RULE, rule=_rule(controls, start, week_start).text())
    if controls.ends is not Ends.NEVER:
        raise RuleError("Counted from when it was last done, a chore has no end. Choose never.")
    every, unit = controls.every, controls.step.value
    if controls.step is Step.YEARS:
        every, unit = 12 * every, Unit.MONTHS.value
    return replace(repeat, kind=Kind.AFTER_DONE, every=every, unit=Unit(unit))


def _rule(controls: Controls, start: date, week_start: int) -> Rule:
    count = controls.times if controls.ends is Ends.AFTER_TIMES else None
    until = controls.until if controls.ends is Ends.ON_DATE else None
    if until is not None and until < start:
        raise RuleError("It ends before it starts. Choose a later end or an earlier start.")
    rule = Rule(Freq.DAILY, controls.every, count, until)
    if controls.step is Step.DAYS:
        return rule
    if controls.step is Step.WEEKS:
        weekdays = controls.weekdays or {start.weekday()}
        return replace(
            rule,
            freq=Freq.WEEKLY,
            by_day=tuple(WeekdayNum(day) for day in sorted(weekdays)),
            # Which weeks are "every second" depends on where a week begins.
            week_start=week_start if controls.every > 1 else 0,
        )
    yearly = controls.step is Step.YEARS
    month = controls.month or start.month
    rule = replace(
        rule,
        freq=Freq.YEARLY if yearly else Freq.MONTHLY,
        by_month=(month,) if yearly else (),
    )
    if controls.by is By.WEEKDAY:
        return replace(rule, by_day=(WeekdayNum(controls.weekday, controls.nth),))
    return _on_day_of_month(rule, controls, controls.day or start.day)


def _on_day_of_month(rule: Rule, controls: Controls, day: int) -> Rule:
    always, longest = (28, 31) if not rule.by_month else month_lengths(rule.by_month[0])
    if day > longest:
        raise RuleError(f"That month has no day {day}: its last is {longest}. Change the day.")
    # Any day of every month leaves no month out, whatever its nominal day.
    stretches = controls.short_month_last or controls.window is Window.MONTH
    if day <= always or not stretches:
        return replace(rule, by_month_day=(day,))
    # The last of the days 28 to `day` that the month has: day 31 is 28 February in 2027.
    return replace(rule, by_month_day=tuple(range(28, day + 1)), by_set_pos=(-1,))


def month_lengths(month: int) -> tuple[int, int]:
    """The fewest and the most days that a month (1 to 12) can have."""
    common, leap = (civil.month_span(year, month)[1] for year in (2023, 2024))
    return common, leap


def from_rule(text: str, start: date, week_start: int = 0) -> Controls | None:
    """Controls that mean exactly this rule; None if there are none, so that its text is shown."""
    return from_repeat(Repeat(Kind.RULE, start, rule=text, week_start=week_start))


def from_repeat(repeat: Repeat) -> Controls | None:
    """Controls that mean exactly this repeat, or None. What is missed is not in a Repeat."""
    repeat = _bare(repeat)
    try:
        shown = _shown(repeat)
        if shown is None:
            return None
        again = to_repeat(shown, repeat.start, repeat.week_start)
    except RuleError:
        return None
    return shown if _same(again, repeat) else None


def _bare(repeat: Repeat) -> Repeat:
    """The repeat without what its kind does not look at."""
    if repeat.kind is not Kind.RULE:
        repeat = replace(repeat, rule="")
    if repeat.kind is not Kind.AFTER_DONE:
        repeat = replace(repeat, every=0, unit=Unit.DAYS)
    return replace(repeat, months=ALL_MONTHS) if repeat.kind is Kind.ONCE else repeat


def _same(one: Repeat, other: Repeat) -> bool:
    """Whether two repeats mean the same, however their rules are written."""
    if one.kind is not Kind.RULE or other.kind is not Kind.RULE:
        return one == other
    rules = [parse(one.rule), parse(other.rule)]
    ends = [(rule.count, rule.until) for rule in rules]
    plans = [plan(replace(rule, count=None, until=None), one.start) for rule in rules]
    return ends[0] == ends[1] and plans[0] == plans[1] and replace(one, rule=other.rule) == other


def _shown(repeat: Repeat) -> Controls | None:
    """The best guess at controls for a repeat; whether it is right is checked afterwards."""
    common = Controls(months=repeat.months, on_holiday=repeat.on_holiday, on_away=repeat.on_away)
    if repeat.kind is Kind.ONCE:
        return replace(common, counted=Counted.ONCE, window=repeat.window)
    if repeat.kind is Kind.AFTER_DONE:
        step, every = Step(repeat.unit.value), repeat.every
        if step is Step.MONTHS and every % 12 == 0:
            step, every = Step.YEARS, every // 12
        return replace(
            common, counted=Counted.LAST_DONE, step=step, every=every, window=repeat.window
        )
    rule = parse(repeat.rule)
    ends = Ends.NEVER
    if rule.count is not None or rule.until is not None:
        ends = Ends.AFTER_TIMES if rule.until is None else Ends.ON_DATE
    steps = {
        Freq.DAILY: Step.DAYS,
        Freq.WEEKLY: Step.WEEKS,
        Freq.MONTHLY: Step.MONTHS,
        Freq.YEARLY: Step.YEARS,
    }
    shown = replace(
        common,
        every=rule.interval,
        step=steps[rule.freq],
        ends=ends,
        until=rule.until,
        times=rule.count,
        window=repeat.window,
    )
    return _with_days(shown, rule, repeat.start)


def _with_days(shown: Controls, rule: Rule, start: date) -> Controls | None:
    if rule.freq is Freq.DAILY:
        return shown
    # In a window the nominal day is of no account: left to follow the start, where it does.
    if rule.freq is Freq.WEEKLY:
        weekdays = frozenset(day.weekday for day in rule.by_day) or {start.weekday()}
        follows = shown.window is Window.WEEK and weekdays == {start.weekday()}
        return replace(shown, weekdays=frozenset() if follows else frozenset(weekdays))
    if rule.freq is Freq.YEARLY:
        shown = replace(shown, month=rule.by_month[0] if rule.by_month else start.month)
    if rule.by_day:
        weekday, nth = rule.by_day[0]
        return replace(shown, by=By.WEEKDAY, weekday=weekday, nth=nth) if nth else None
    day = rule.by_month_day[-1] if rule.by_month_day else start.day
    follows = shown.window is Window.MONTH and day == start.day
    return replace(shown, day=None if follows else day, short_month_last=bool(rule.by_set_pos))

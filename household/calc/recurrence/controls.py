"""From plain controls to a Repeat, and back where controls can show it.

The way back is a guess from the rule's parts that is then checked: the controls guessed must
give exactly the same dates.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from household.calc.recurrence import civil
from household.calc.recurrence.choices import LAST, By, Controls, Counted, Ends, Missed, Step
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.expand import plan
from household.calc.recurrence.kinds import Kind, Repeat, Unit, Window
from household.calc.recurrence.model import Freq, Rule, WeekdayNum
from household.calc.recurrence.rules import ALL_MONTHS, parse


def to_repeat(controls: Controls, start: date, week_start: int = 0) -> Repeat:
    """The Repeat that these controls mean. `week_start` is the household's, Monday = 0.

    "After N times" stays a COUNT here; `repeat.for_saving` turns it into a last date.
    """
    once = Repeat(
        kind=Kind.ONCE,
        start=start,
        window=controls.window,
        on_holiday=controls.on_holiday,
        on_away=controls.on_away,
        week_start=week_start,
    )
    if controls.counted is Counted.ONCE:
        return once  # what comes once has no season
    if controls.counted is Counted.CALENDAR:
        rule = _rule(controls, start, week_start).text()
        return replace(once, kind=Kind.RULE, rule=rule, months=controls.months)
    if controls.ends is not Ends.NEVER:
        raise RuleError("Counted from when it was last done, a chore has no end. Choose never.")
    every, unit = controls.every, controls.step.value
    if controls.step is Step.YEARS:
        every, unit = 12 * every, Unit.MONTHS.value
    return replace(once, kind=Kind.AFTER_DONE, every=every, unit=Unit(unit), months=controls.months)


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
    """Controls that mean exactly this rule; None if there are none, so that its text is shown.

    Raises RuleError if it is not a rule at all.
    """
    return from_repeat(Repeat(Kind.RULE, start, rule=text, week_start=week_start))


def from_repeat(repeat: Repeat) -> Controls | None:
    """Controls that mean exactly this repeat, or None. What is missed is not in a Repeat."""
    repeat = _with_season(_bare(repeat))
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


def _with_season(repeat: Repeat) -> Repeat:
    """The same repeat with its rule's BYMONTH, where that only leaves months out, as a season.

    "Every year in April and October on the 1st" is every month on the 1st, in those two.
    """
    if repeat.kind is not Kind.RULE:
        return repeat
    rule = parse(repeat.rule)
    if rule.by_set_pos:
        return repeat  # it may count positions across months
    if rule.freq is Freq.YEARLY:
        in_year = rule.by_week_no or rule.by_year_day
        if rule.interval > 1 or len(rule.by_month) < 2 or in_year:
            return repeat
        rule = replace(rule, freq=Freq.MONTHLY)
    months = repeat.months & set(rule.by_month)
    if not months:
        return repeat
    return replace(repeat, rule=replace(rule, by_month=()).text(), months=months)


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
    always = month_lengths(shown.month)[0] if shown.month else 28
    stretches = bool(rule.by_set_pos) or day <= always
    return replace(shown, day=None if follows else day, short_month_last=stretches)


__all__ = [
    "LAST",
    "By",
    "Controls",
    "Counted",
    "Ends",
    "Missed",
    "Step",
    "from_repeat",
    "from_rule",
    "to_repeat",
]

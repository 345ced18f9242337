"""The plain controls on a form that set a chore's rhythm, as values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.kinds import Shift, Window
from household.calc.recurrence.parts import MAX_COUNT, MAX_INTERVAL
from household.calc.recurrence.rules import ALL_MONTHS

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

"""The values of a chore's rhythm: how it repeats, and one due window of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.rules import ALL_MONTHS, parse

MAX_EVERY = 1_000


class Kind(StrEnum):
    """What a repeat counts from: nothing, the calendar, or the day it was last done."""

    ONCE = "once"
    RULE = "rule"
    AFTER_DONE = "after_done"


class Window(StrEnum):
    """The days on which a task may be done: its day, or any day of its week or month."""

    DAY = "day"
    WEEK = "week"
    MONTH = "month"


class Shift(StrEnum):
    """What happens to a task whose days are all closed."""

    KEEP = "keep"
    SKIP = "skip"
    EARLIER = "earlier"
    LATER = "later"


class Unit(StrEnum):
    DAYS = "days"
    WEEKS = "weeks"
    MONTHS = "months"


@dataclass(frozen=True, slots=True)
class Repeat:
    """How a chore repeats. Raises RuleError if it makes no sense.

    `rule` is for Kind.RULE, `every` and `unit` for Kind.AFTER_DONE; elsewhere they are not
    looked at. `months` is the season: the months (1 to 12) in which the chore is on.
    `week_start` is the household's first day of the week, Monday = 0, for week windows; a
    rule's own WKST stays what the rule says.
    """

    kind: Kind
    start: date
    rule: str = ""
    every: int = 0
    unit: Unit = Unit.DAYS
    window: Window = Window.DAY
    months: frozenset[int] = ALL_MONTHS
    on_holiday: Shift = Shift.KEEP
    on_away: Shift = Shift.KEEP
    week_start: int = 0

    def __post_init__(self) -> None:
        if self.kind is Kind.RULE:
            parse(self.rule)
        if self.kind is Kind.AFTER_DONE and not 1 <= self.every <= MAX_EVERY:
            raise RuleError(
                f"After it was last done, a chore can wait from 1 to {MAX_EVERY:,} "
                f"{self.unit}, not {self.every}. Change the number."
            )
        if not self.months:
            raise RuleError("The season has no month. Choose at least one.")
        if not self.months <= ALL_MONTHS:
            raise RuleError("A month of the season is a number from 1 to 12. Choose again.")
        if self.kind is Kind.ONCE and self.start.month not in self.months:
            raise RuleError("It comes once, in a month that is off. Change the day or the months.")
        if not 0 <= self.week_start <= 6:
            raise RuleError("The first day of the week is a number from 0 (Monday) to 6.")


@dataclass(frozen=True, slots=True)
class Due:
    """One due task: its nominal date, and the first and last day on which it may be done.

    `occurrence` never moves, so it can be a key; a shift changes only `opens` and `closes`.
    """

    occurrence: date
    opens: date
    closes: date

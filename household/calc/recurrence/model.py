"""A recurrence rule as a value: RFC 5545 section 3.3.10, daily or slower."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

DAY_CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


class Freq(StrEnum):
    DAILY = "DAILY"
    WEEKLY = "WEEKLY"
    MONTHLY = "MONTHLY"
    YEARLY = "YEARLY"


class WeekdayNum(NamedTuple):
    """One BYDAY value. `weekday` counts from Monday = 0; `ordinal` 0 means every such day."""

    weekday: int
    ordinal: int = 0

    def text(self) -> str:
        return f"{self.ordinal or ''}{DAY_CODES[self.weekday]}"


@dataclass(frozen=True, slots=True)
class Rule:
    """The parts of one rule, checked by `rules.parse`; lists are sorted and free of doubles.

    `until` is a date for a chore's rule; for a rule with times it may also be a naive local
    datetime or an aware one in UTC. `week_start` is WKST, Monday = 0.
    """

    freq: Freq
    interval: int = 1
    count: int | None = None
    until: date | datetime | None = None
    by_month: tuple[int, ...] = ()
    by_week_no: tuple[int, ...] = ()
    by_year_day: tuple[int, ...] = ()
    by_month_day: tuple[int, ...] = ()
    by_day: tuple[WeekdayNum, ...] = ()
    by_hour: tuple[int, ...] = ()
    by_minute: tuple[int, ...] = ()
    by_second: tuple[int, ...] = ()
    by_set_pos: tuple[int, ...] = ()
    week_start: int = 0

    def text(self) -> str:
        """Canonical text, without "RRULE:": defaults left out, parts in a fixed order."""
        parts = [f"FREQ={self.freq}"]
        if self.interval > 1:
            parts.append(f"INTERVAL={self.interval}")
        if self.count is not None:
            parts.append(f"COUNT={self.count}")
        if self.until is not None:
            parts.append(f"UNTIL={_until_text(self.until)}")
        for name, numbers in (
            ("BYMONTH", self.by_month),
            ("BYWEEKNO", self.by_week_no),
            ("BYYEARDAY", self.by_year_day),
            ("BYMONTHDAY", self.by_month_day),
        ):
            parts += _list_text(name, numbers)
        if self.by_day:
            parts.append("BYDAY=" + ",".join(day.text() for day in self.by_day))
        for name, numbers in (
            ("BYHOUR", self.by_hour),
            ("BYMINUTE", self.by_minute),
            ("BYSECOND", self.by_second),
            ("BYSETPOS", self.by_set_pos),
        ):
            parts += _list_text(name, numbers)
        if self.week_start:
            parts.append(f"WKST={DAY_CODES[self.week_start]}")
        return ";".join(parts)


def _list_text(name: str, numbers: tuple[int, ...]) -> list[str]:
    return [f"{name}={','.join(map(str, numbers))}"] if numbers else []


def _until_text(until: date | datetime) -> str:
    # Not strftime("%Y"), which leaves out leading zeros of early years on some systems.
    text = f"{until.year:04d}{until.month:02d}{until.day:02d}"
    if isinstance(until, datetime):
        text += f"T{until.hour:02d}{until.minute:02d}{until.second:02d}"
        text += "Z" if until.tzinfo is not None else ""
    return text

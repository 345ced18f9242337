"""Split a rule's text into its parts and check each value by itself (RFC 5545 3.3.10)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.model import DAY_CODES, Freq, WeekdayNum

MAX_LENGTH = 500
MAX_INTERVAL = 1_000
MAX_COUNT = 5_000
MAX_TIMES_A_DAY = 288

_FASTER = ("HOURLY", "MINUTELY", "SECONDLY")
_NUMBER = re.compile(r"[+-]?[0-9]{1,6}")
_BY_DAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
_UNTIL = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})(?:T([0-9]{2})([0-9]{2})([0-9]{2})(Z?))?")


@dataclass(slots=True)
class ReadParts:
    """The parts as read, each valid by itself, not yet against each other."""

    freq: Freq | None = None
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

    @property
    def has_other_by_part(self) -> bool:
        """Whether there is a BY part for BYSETPOS to pick from."""
        return any(
            (
                self.by_month,
                self.by_week_no,
                self.by_year_day,
                self.by_month_day,
                self.by_day,
                self.by_hour,
                self.by_minute,
                self.by_second,
            )
        )


def read(text: str) -> ReadParts:
    """Split `text` at its semicolons. Unknown, repeated and malformed parts are refused."""
    body = text.strip().upper().removeprefix("RRULE:").removesuffix(";")
    if not body:
        raise RuleError("The rule is empty. Write one such as FREQ=WEEKLY;BYDAY=MO.")
    parts = ReadParts()
    seen: set[str] = set()
    # FREQ first: what else may be wrong in an hourly rule is of no account.
    for piece in sorted(body.split(";"), key=lambda piece: "FREQ" not in piece):
        name, equals, value = (word.strip() for word in piece.partition("="))
        if not (name and equals and value):
            raise RuleError(f'"{piece.strip()}" is not of the form NAME=VALUE. Mend or remove it.')
        if name not in _READERS:
            raise RuleError(f'"{name}" is not a known part of a rule. Remove it.')
        if name in seen:
            raise RuleError(f"{name} is there twice. Keep one, with its values joined by commas.")
        seen.add(name)
        field, reader = _READERS[name]
        setattr(parts, field, reader(name, value))
    return parts


def _freq(_name: str, value: str) -> Freq:
    if value in _FASTER:
        raise RuleError(
            f"FREQ={value} is faster than once a day. Use DAILY, WEEKLY, MONTHLY or YEARLY."
        )
    if value not in list(Freq):
        raise RuleError(f'FREQ cannot be "{value}". Use DAILY, WEEKLY, MONTHLY or YEARLY.')
    return Freq(value)


def _whole_number(name: str, value: str) -> int:
    if not _NUMBER.fullmatch(value):
        raise RuleError(f'{name} takes whole numbers, not "{value}". Mend the number.')
    return int(value)


def _number(most: int) -> Callable[[str, str], int]:
    def reader(name: str, value: str) -> int:
        number = _whole_number(name, value)
        if not 1 <= number <= most:
            raise RuleError(f"{name} must be from 1 to {most:,}, not {number}. Change the number.")
        return number

    return reader


def _numbers(least: int, most: int, *, also_negative: bool = False) -> Callable[..., object]:
    allowed = f"from {least} to {most}" + (f" or -{most} to -{least}" if also_negative else "")

    def reader(name: str, value: str) -> tuple[int, ...]:
        found: set[int] = set()
        for word in value.split(","):
            number = _whole_number(name, word.strip())
            size = abs(number) if also_negative else number
            if not least <= size <= most:
                raise RuleError(f"{name} takes numbers {allowed}, not {number}. Change it.")
            found.add(number)
        return tuple(sorted(found))

    return reader


def _days(name: str, value: str) -> tuple[WeekdayNum, ...]:
    found: set[WeekdayNum] = set()
    for word in value.split(","):
        match = _BY_DAY.fullmatch(word.strip())
        ordinal = int(match[1] or 0) if match else 0
        # RFC 5545: the number, where there is one, goes from 1 to 53 or -53 to -1.
        if match is None or (match[1] and not 1 <= abs(ordinal) <= 53):
            raise RuleError(
                f'{name} cannot be "{word.strip()}". Use MO to SU, or a number and a day '
                "such as 1MO or -1FR."
            )
        found.add(WeekdayNum(DAY_CODES.index(match[2]), ordinal))
    return tuple(sorted(found))


def _week_start(name: str, value: str) -> int:
    if value not in DAY_CODES:
        raise RuleError(f'{name} is the first day of the week, MO to SU, not "{value}".')
    return DAY_CODES.index(value)


def _until(name: str, value: str) -> date | datetime:
    match = _UNTIL.fullmatch(value)
    if match is None:
        raise RuleError(f'{name} is a day such as 20271231, not "{value}". Mend the date.')
    try:
        year, month, day = (int(match[i]) for i in (1, 2, 3))
        if match[4] is None:
            return date(year, month, day)
        hour, minute, second = (int(match[i]) for i in (4, 5, 6))
        zone = UTC if match[7] else None
        return datetime(year, month, day, hour, minute, second, tzinfo=zone)
    except ValueError:
        raise RuleError(f'{name}: there is no such day or time as "{value}".') from None


_READERS: dict[str, tuple[str, Callable[..., object]]] = {
    "FREQ": ("freq", _freq),
    "INTERVAL": ("interval", _number(MAX_INTERVAL)),
    "COUNT": ("count", _number(MAX_COUNT)),
    "UNTIL": ("until", _until),
    "BYMONTH": ("by_month", _numbers(1, 12)),
    "BYWEEKNO": ("by_week_no", _numbers(1, 53, also_negative=True)),
    "BYYEARDAY": ("by_year_day", _numbers(1, 366, also_negative=True)),
    "BYMONTHDAY": ("by_month_day", _numbers(1, 31, also_negative=True)),
    "BYDAY": ("by_day", _days),
    "BYHOUR": ("by_hour", _numbers(0, 23)),
    "BYMINUTE": ("by_minute", _numbers(0, 59)),
    "BYSECOND": ("by_second", _numbers(0, 59)),
    "BYSETPOS": ("by_set_pos", _numbers(1, 366, also_negative=True)),
    "WKST": ("week_start", _week_start),
}

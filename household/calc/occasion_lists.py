"""Lists of names and dates as people keep them: one a line, a name and then a date.

"Greta, 19 December 1955", "Greta;1955-12-19", "Per	25.2." and the like. Dates: ISO 8601
(2015-05-09), month and day alone (--05-09, as vCard writes it, or 05-09), and words or numbers
in the household's own order. The year may be missing.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from household.calc.names import MONTHS
from household.calc.occasions import is_date

MOST_LINES: Final = 500
NAME: Final = 80
_FIRST_YEAR, _LAST_YEAR = 1800, 2200
_ISO: Final = re.compile(r"^(?:(\d{4})|-)?-?(\d{1,2})-(\d{1,2})$")
_NUMBERS: Final = re.compile(r"^(\d{1,4})[./](\d{1,2})(?:[./](\d{1,4})?)?$")
_DAY_FIRST: Final = re.compile(r"^(\d{1,2})\.?\s+([^\W\d]+)\.?,?(?:\s+(\d{4}))?$")
_MONTH_FIRST: Final = re.compile(r"^([^\W\d]+)\.?\s+(\d{1,2})(?:,?\s+(\d{4}))?$")


@dataclass(frozen=True, slots=True)
class Listed:
    """A name with its day; `year` is None where the list does not say it."""

    line: int
    name: str
    month: int
    day: int
    year: int | None


@dataclass(frozen=True, slots=True)
class Unread:
    """A line that was not understood, and what to do about it."""

    line: int
    text: str
    words: str


@dataclass(frozen=True, slots=True)
class ReadList:
    rows: tuple[Listed, ...]
    unread: tuple[Unread, ...]


def read_list(text: str, order: str = "dmy") -> ReadList:
    """The rows of a list, and the lines that need another look, both in the order of the text.

    order: "dmy", "mdy" or "ymd", for dates such as 5/6/2015. The same name and day twice is
    taken once. At most MOST_LINES lines are read.
    """
    rows: dict[tuple[str, int, int], Listed] = {}
    unread: list[Unread] = []
    for number, fields, line in _lines(text):
        if len(rows) + len(unread) >= MOST_LINES:
            unread.append(Unread(number, "", f"Only the first {MOST_LINES} lines were read."))
            break
        found = _row(number, fields, line, order)
        if isinstance(found, Unread):
            unread.append(found)
        elif found is not None:
            rows.setdefault((found.name.casefold(), found.month, found.day), found)
    return ReadList(tuple(rows.values()), tuple(unread))


def _lines(text: str) -> Iterator[tuple[int, list[str], str]]:
    """(number, fields, the line itself) of every line with something on it."""
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        bare = line.strip()
        if bare and not bare.startswith("#"):
            yield number, _fields(bare), bare


def _fields(line: str) -> list[str]:
    mark = next((each for each in ("\t", ";", ",") if each in line), ",")
    reader = csv.reader(io.StringIO(line), delimiter=mark, skipinitialspace=True)
    return [field.strip() for field in next(iter(reader), [])]


def _row(number: int, fields: Sequence[str], line: str, order: str) -> Listed | Unread | None:
    name = " ".join(fields[0].split())[:NAME] if fields else ""
    # A date in words may hold a comma of its own: "May 9, 2015".
    written = ", ".join(field for field in fields[1:] if field)
    if number == 1 and written.casefold() in ("date", "day", "birthday"):
        return None
    if not name:
        return Unread(number, line, "There is no name before the date.")
    if not written:
        return Unread(number, line, "There is no date after the name. Write: name, date.")
    date = read_date(written, order)
    if date is None:
        return Unread(number, line, f"“{written}” is no date. Write it as 2015-05-09 or 05-09.")
    year, month, day = date
    return Listed(number, name, month, day, year)


def read_date(text: str, order: str = "dmy") -> tuple[int | None, int, int] | None:
    """(year or None, month, day) of a date as people write it; None where it is none."""
    text = " ".join(text.split())
    for read in (_iso, _in_numbers, _in_words):
        found = read(text, order)
        if found is not None:
            year, month, day = found
            real = year is None or _FIRST_YEAR <= year <= _LAST_YEAR
            return found if real and is_date(month, day, year) else None
    return None


def _iso(text: str, order: str) -> tuple[int | None, int, int] | None:
    match = _ISO.match(text)
    if match is None:
        return None
    year, month, day = match.groups()
    return int(year) if year else None, int(month), int(day)


def _in_numbers(text: str, order: str) -> tuple[int | None, int, int] | None:
    """9.5.2015, 5/9/2015, 2015/5/9, 9.5.; a year of two digits is not guessed at."""
    match = _NUMBERS.match(text)
    if match is None:
        return None
    first, second, third = match.groups()
    if len(first) == 4:
        return (int(first), int(second), int(third)) if third else None
    if third is not None and len(third) != 4:
        return None
    year = int(third) if third else None
    if order == "mdy" and "." not in text:
        return year, int(first), int(second)
    if order == "ymd" and "." not in text and year is None:
        return None, int(first), int(second)
    return year, int(second), int(first)


def _in_words(text: str, order: str) -> tuple[int | None, int, int] | None:
    """9 May 2015, 9. May, May 9, 2015, 9 Sept."""
    match = _DAY_FIRST.match(text)
    if match is not None:
        day, name, year = match.groups()
    else:
        match = _MONTH_FIRST.match(text)
        if match is None:
            return None
        name, day, year = match.groups()
    month = _month(name)
    return (int(year) if year else None, month, int(day)) if month else None


def _month(name: str) -> int:
    """1 to 12 by an English name or its first three letters and more; 0 where it is none."""
    asked = name.casefold()
    for number, month in enumerate(MONTHS, start=1):
        if len(asked) >= 3 and month.casefold().startswith(asked):
            return number
    return 9 if asked == "sept" else 0

"""Reads a rhythm's sentence as a person would, and counts the days out on the calendar.

It knows the words only, nothing of rules: what it finds must be what the rule gives.
"""

import re
from calendar import monthrange
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from tests.calc.recurrence.oracles import week_begin

WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
MONTHS = [
    *["January", "February", "March", "April", "May", "June"],
    *["July", "August", "September", "October", "November", "December"],
]
NUMBERS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "once": 1, "twice": 2, "Once": 1}
NUMBERS["Twice"] = 2
DATE = r"\d{1,2} [A-Z][a-z]+ \d{4}"
TAIL = (
    rf"(?:, only (?P<season>.+?))?, from (?P<begin>{DATE}), "
    rf"(?P<ends>with no end date|until {DATE}|once|twice|\d+ times)\."
)
EVERY_ON = r"(?:[Ee]very (?:(?P<every>\S+) )?(?P<step>day|week|month|year)s?)"
SHAPES = {
    "days": EVERY_ON + r"(?: on (?P<on>.+?))?" + TAIL,
    "week": r"Any day of " + EVERY_ON + TAIL,
    "times a week": r"(?P<many>\w+)(?: times)? in " + EVERY_ON + r", on any days" + TAIL,
    "month": r"Any day of (?:(?P<named>[A-Z][a-z]+), )?" + EVERY_ON + TAIL,
    "week around": r"Any day of the week that holds (?P<on>.+?), " + EVERY_ON + TAIL,
}
Days = tuple[date, date]


@dataclass
class Reading:
    """Windows in order, from the first on; and how they end and pause."""

    windows: Iterator[Days]
    season: set[int]
    until: date | None
    times: int | None
    many: int = 1


def number(word: str | None) -> int:
    if word is None:
        return 1
    return NUMBERS.get(word) or int(re.sub(r"(st|nd|rd|th)$", "", word))


def day(text: str) -> date:
    on, month, year = text.split()
    return date(int(year), MONTHS.index(month) + 1, int(on))


def season(text: str | None) -> set[int]:
    if text is None:
        return set(range(1, 13))
    if text.startswith("from "):
        first, last = (MONTHS.index(name) for name in text[5:].split(" to "))
        return {(first + n) % 12 + 1 for n in range((last - first) % 12 + 1)}
    return {MONTHS.index(name) + 1 for name in re.split(", | and ", text.removeprefix("in "))}


def read(main: str, first_weekday: int, last: date) -> Reading:
    """The first sentence, from "Every ..." or "Any day of ..." to its full stop.

    Days are counted out up to `last`, weeks and months without end.
    """
    shapes = ((name, re.fullmatch(shape, main)) for name, shape in SHAPES.items())
    [(name, match), *_] = [(n, m) for n, m in shapes if m and fits(n, m)]
    said = match.groupdict()
    begin, every, step = day(said["begin"]), number(said["every"]), said["step"]
    if name == "days":
        windows = ((on, on) for on in on_days(begin, every, step, said["on"], first_weekday, last))
    elif name in ("week", "times a week"):
        windows = weeks(begin, every, first_weekday)
    elif name == "month":
        windows = whole_months(begin, every * (12 if step == "year" else 1))
        assert said["named"] in (None, MONTHS[begin.month - 1])
    else:
        around = on_days(begin, every, step, said["on"], first_weekday, last)
        windows = (week_of(on, first_weekday) for on in around)
    ends = said["ends"]
    until = day(ends[6:]) if ends.startswith("until") else None
    times = None if "end date" in ends or until else number(ends.removesuffix(" times"))
    many = number(said.get("many")) if name == "times a week" else 1
    return Reading(windows, season(said["season"]), until, times, many)


def fits(name: str, match: re.Match[str]) -> bool:
    if name in ("week", "times a week"):
        return match["step"] == "week"
    return name != "month" or (match["step"] == "year") == bool(match["named"])


def week_of(on: date, first_weekday: int) -> Days:
    first = week_begin(on, first_weekday)
    return first, first + timedelta(days=6)


def weeks(begin: date, every: int, first_weekday: int) -> Iterator[Days]:
    first, last = week_of(begin, first_weekday)
    while True:
        yield first, last
        first, last = (on + timedelta(weeks=every) for on in (first, last))


def whole_months(begin: date, every: int) -> Iterator[Days]:
    at = 12 * begin.year + begin.month - 1
    while True:
        year, month = at // 12, at % 12 + 1
        yield date(year, month, 1), date(year, month, monthrange(year, month)[1])
        at += every


def on_days(
    begin: date, every: int, step: str, said: str | None, first_weekday: int, last: date
) -> Iterator[date]:
    """Each day from `begin` to `last` that fits the words; the first one sets the pace."""
    fits_words = day_test(said)
    on, pace_set_by = begin, None
    while on <= last:
        if fits_words(on):
            pace_set_by = pace_set_by or on
            if apart(pace_set_by, on, step, first_weekday) % every == 0:
                yield on
        on += timedelta(days=1)


def apart(one: date, other: date, step: str, first_weekday: int) -> int:
    if step == "day":
        return (other - one).days
    if step == "week":
        weeks = [week_begin(on, first_weekday) for on in (one, other)]
        return (weeks[1] - weeks[0]).days // 7
    if step == "month":
        return 12 * (other.year - one.year) + other.month - one.month
    return other.year - one.year


def day_test(said: str | None) -> Callable[[date], bool]:
    """on Tuesday and Friday; the last Friday of May; the 31st; 29 February, or ..."""
    if said is None:
        return lambda on: True
    words, _, rest = said.partition(", or ")
    if not rest:
        words, _, rest = said.partition(", leaving out ")
    if words.split(" ")[0].rstrip(",") in WEEKDAYS:
        names = re.split(", | and ", said)
        return lambda on: WEEKDAYS[on.weekday()] in names
    *_, month_name = words.split(" ")
    month = MONTHS.index(month_name) + 1 if month_name in MONTHS else None
    if month:
        words = words.removesuffix(f" of {month_name}").removesuffix(f" {month_name}")
    return lambda on: (month is None or on.month == month) and in_month(words, said, on)


def in_month(words: str, said: str, on: date) -> bool:
    length = monthrange(on.year, on.month)[1]
    if words == "the last day":
        return on.day == length
    if match := re.fullmatch(r"the (\w+) (\w+day)", words):
        if WEEKDAYS[on.weekday()] != match[2]:
            return False
        return on.day + 7 > length if match[1] == "last" else (on.day + 6) // 7 == number(match[1])
    wanted = number(words.removeprefix("the "))
    if said.endswith("or the last day of a shorter month"):
        return on.day == min(wanted, length)
    return on.day == wanted

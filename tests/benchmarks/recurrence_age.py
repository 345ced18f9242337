"""What a rule's age costs, run by hand: a 20-year-old rule against a new one.

    python -m tests.benchmarks.recurrence_age

Asks each rule for the next date and for four weeks of dates, cold (nothing kept in memory) and
warm, and prints the ratio of old to new: at most 1.3 is aimed at. For comparison, the same by
python-dateutil, which walks from the start. Times depend on the machine, ratios much less.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from itertools import takewhile
from statistics import median
from time import perf_counter

from dateutil.rrule import rrulestr

from household.calc.recurrence import expand, rules
from household.calc.recurrence.dates import between, next_on_or_after

TODAY = date(2026, 3, 17)
NEW, OLD = TODAY.replace(year=2026), TODAY.replace(year=2006)
LAST = TODAY + timedelta(days=27)
RULES = [
    "FREQ=DAILY",
    "FREQ=DAILY;INTERVAL=3",
    "FREQ=WEEKLY;BYDAY=MO,TH",
    "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU;WKST=SU",
    "FREQ=MONTHLY;BYMONTHDAY=28,29,30,31;BYSETPOS=-1",
    "FREQ=MONTHLY;BYDAY=1SA",
    "FREQ=YEARLY;BYMONTH=4;BYMONTHDAY=1",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
]


def ask(text: str, start: date) -> None:
    rule = rules.parse(text)
    next_on_or_after(rule, start=start, day=TODAY)
    between(rule, start=start, first=TODAY, last=LAST)


def ask_cold(text: str, start: date) -> None:
    for kept in (rules._parse, rules.last_day, expand.plan):
        kept.cache_clear()
    ask(text, start)


def ask_dateutil(text: str, start: date) -> None:
    rule = rrulestr(text, dtstart=datetime.combine(start, time.min))
    rule.after(datetime.combine(TODAY, time.min), inc=True)
    list(takewhile(lambda on: on.date() <= LAST, rule))


def microseconds(question: Callable[[str, date], None], text: str, start: date) -> float:
    """Median of nine runs of as many questions as take some milliseconds."""
    repeats = 3 if question is ask_dateutil else 200
    runs = []
    for _ in range(9):
        begun = perf_counter()
        for _ in range(repeats):
            question(text, start)
        runs.append((perf_counter() - begun) / repeats * 1e6)
    return median(runs)


def main() -> None:
    print(f"{'microseconds, and old / new':52}{'new':>9}{'old':>11}{'ratio':>8}")
    for name, question in (("warm", ask), ("cold", ask_cold), ("dateutil", ask_dateutil)):
        ratios = []
        for text in RULES:
            new, old = (microseconds(question, text, start) for start in (NEW, OLD))
            ratios.append(old / new)
            print(f"{name:9}{text:43}{new:9.1f}{old:11.1f}{old / new:8.2f}")
        print(f"{name:9}{'median and highest ratio':43}{median(ratios):20.2f}{max(ratios):8.2f}\n")


if __name__ == "__main__":
    main()

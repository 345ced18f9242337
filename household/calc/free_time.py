"""Who is away when, and how many minutes a member has on a day.

Days are plain dates in the household's own calendar. Minutes free are given for each weekday,
Monday first, and are none on a day away.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

WEEKDAYS = 7


@dataclass(frozen=True, slots=True)
class Absence:
    """Days away from `starts` to `ends`, both included, once or every so many weeks.

    A repeating absence is how a part-time home works: away from Friday to Thursday every
    2 weeks. every_weeks: None for once. until: the last day on which it can still hold, which
    may cut one short; None for no end. Raises ValueError where the days or weeks make no sense.
    """

    starts: date
    ends: date
    every_weeks: int | None = None
    until: date | None = None

    def __post_init__(self) -> None:
        if self.ends < self.starts:
            raise ValueError("An absence cannot end before it starts.")
        if self.every_weeks is not None and self.every_weeks < 1:
            raise ValueError("An absence repeats every week or more.")
        if self.until is not None and self.until < self.starts:
            raise ValueError("An absence cannot stop repeating before it starts.")

    def covers(self, day: date) -> bool:
        """Whether this is a day away."""
        if day < self.starts or (self.until is not None and day > self.until):
            return False
        since = (day - self.starts).days
        if self.every_weeks is not None:
            # The latest start on or before the day reaches furthest, so it alone decides,
            # even where one absence is longer than the weeks between two.
            since %= self.every_weeks * WEEKDAYS
        return since <= (self.ends - self.starts).days


def is_away(day: date, absences: Iterable[Absence]) -> bool:
    """Whether any of the absences holds on this day."""
    return any(absence.covers(day) for absence in absences)


def away_days(absences: Iterable[Absence], first: date, last: date) -> frozenset[date]:
    """The days away from `first` to `last`, both included."""
    listed = tuple(absences)
    return frozenset(day for day in _days(first, last) if is_away(day, listed))


def free_minutes(day: date, weekly: Sequence[int], absences: Iterable[Absence]) -> int:
    """Minutes free on a day, from seven figures with Monday first; 0 on a day away.

    Raises ValueError unless there are seven figures, none below 0.
    """
    if len(weekly) != WEEKDAYS or min(weekly) < 0:
        raise ValueError("Free minutes are seven figures, Monday first, none below 0.")
    return 0 if is_away(day, absences) else weekly[day.weekday()]


def all_away(members: Sequence[Iterable[Absence]], first: date, last: date) -> frozenset[date]:
    """The days from `first` to `last` on which every member is away; none without members."""
    if not members:
        return frozenset()
    return frozenset.intersection(*(away_days(absences, first, last) for absences in members))


def _days(first: date, last: date) -> Iterable[date]:
    return (first + timedelta(days=n) for n in range((last - first).days + 1))

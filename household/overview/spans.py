"""How far back the overview looks: 1, 4 or 12 of the household's own weeks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from household.calc.history import weeks_back

WEEKS = {1: "one week", 4: "four weeks", 12: "twelve weeks"}
USUAL = 4


@dataclass(frozen=True, slots=True)
class Span:
    """`first` to `last`, whole weeks; `end` is the last of those days that has begun."""

    weeks: int
    first: date
    last: date
    end: date

    @property
    def words(self) -> str:
        return WEEKS[self.weeks]

    @property
    def days(self) -> int:
        """How many days of it have begun."""
        return (self.end - self.first).days + 1

    def earlier(self) -> dict[str, str]:
        return self._address(self.weeks, self.first - timedelta(days=1))

    def later(self, today: date) -> dict[str, str] | None:
        """The address parts of the span after this one; None where it has not begun."""
        if self.last >= today:
            return None
        return self._address(self.weeks, min(self.last + timedelta(weeks=self.weeks), today))

    def of(self, weeks: int, today: date) -> dict[str, str]:
        """The address parts of another length that ends in the same week."""
        return self._address(weeks, None if self.last >= today else self.last)

    def _address(self, weeks: int, until: date | None) -> dict[str, str]:
        parts = {"weeks": str(weeks)}
        return parts if until is None else {**parts, "until": until.isoformat()}


def span_of(query: Mapping[str, str], today: date, week_start: int) -> Span:
    """What `?weeks=` and `?until=` ask for; what makes no sense gives four weeks up to today."""
    asked = query.get("weeks", "")
    weeks = next((weeks for weeks in WEEKS if str(weeks) == asked), USUAL)
    until = min(_day(query.get("until", "")) or today, today)
    spans = weeks_back(until, weeks, week_start)
    first, last = spans[0][0], spans[-1][1]
    return Span(weeks, first, last, min(last, today))


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    # Before this no household can have kept anything, and week arithmetic stays in range.
    return day if day.year >= 2000 else None

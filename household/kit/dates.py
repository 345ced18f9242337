"""Dates in words, in the order the household writes them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from household.calc.names import DAYS, MONTHS


@dataclass(frozen=True, slots=True)
class DateWords:
    """`order` is "dmy", "mdy" or "ymd"."""

    order: str = "dmy"

    def day(self, day: date) -> str:
        """Thursday 12 March, Thursday, March 12."""
        return f"{DAYS[day.weekday()]}{self._comma} {self.short(day)}"

    def short(self, day: date) -> str:
        """12 March, March 12."""
        month = MONTHS[day.month - 1]
        return f"{day.day} {month}" if self.order == "dmy" else f"{month} {day.day}"

    def full(self, day: date) -> str:
        """12 March 2026, March 12, 2026, 2026 March 12."""
        if self.order == "ymd":
            return f"{day.year} {self.short(day)}"
        return f"{self.short(day)}{self._comma} {day.year}"

    def span(self, first: date, last: date) -> str:
        """16 to 22 March, 28 September to 4 October, with the years where they differ."""
        if first.year != last.year:
            return f"{self.full(first)} to {self.full(last)}"
        if self.order == "dmy" and first.month == last.month:
            return f"{first.day} to {self.short(last)}"
        if first.month == last.month:
            return f"{self.short(first)} to {last.day}"
        return f"{self.short(first)} to {self.short(last)}"

    def near(self, day: date, today: date) -> str:
        """Today, tomorrow, yesterday, a weekday within the week, else the date."""
        distance = (day - today).days
        if distance in (-1, 0, 1):
            return ("yesterday", "today", "tomorrow")[distance + 1]
        if -7 < distance < 7:
            return DAYS[day.weekday()]
        return self.short(day) if day.year == today.year else self.full(day)

    def moment(self, at: datetime, zone: tzinfo, today: date) -> str:
        """16:20, or Tuesday 16:20, on the household's own clock."""
        local = at.astimezone(zone)
        clock = f"{local:%H:%M}"
        return clock if local.date() == today else f"{self.near(local.date(), today)}, {clock}"

    @property
    def _comma(self) -> str:
        return "," if self.order == "mdy" else ""

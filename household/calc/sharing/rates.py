"""What the household weighs against what: one rate a minute or point for each component."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Components:
    """What a plan amounts to, in minutes and points; a smaller figure is better throughout."""

    overload_minutes: int
    max_share_deviation_minutes: int
    sum_share_deviation_minutes: int
    change_points: int
    comfort_points: int


@dataclass(frozen=True, slots=True)
class Rates:
    """Points of the weighted aim; `band` is the minutes within which a difference counts as none.

    The pure comfort point has the rate 1, so the aim stays a whole number.
    """

    name: str
    overload: int = 3000
    largest: int = 3000
    total: int = 300
    change: int = 300
    band: int = 5

    @property
    def minute(self) -> int:
        """The least that a minute too many, or a minute off the agreed shares, comes to."""
        return min(self.overload, self.largest, self.total)

    def weigh(self, parts: Components, members: int) -> int:
        """The weighted aim of a plan for a household of `members`."""
        return (
            self.overload * parts.overload_minutes
            + self.largest * max(parts.max_share_deviation_minutes, self.band)
            + self.total * max(parts.sum_share_deviation_minutes, self.band * members)
            + self.change * parts.change_points
            + parts.comfort_points
        )


FREE_TIME = Rates("keep to free time", overload=9000, largest=1000, total=100)
EVEN = Rates("even")
SHARES = Rates("keep to shares", overload=1000, largest=9000, total=900)
PRESETS = {"free_time": FREE_TIME, "even": EVEN, "shares": SHARES}

COMFORT_BY_DISLIKE = {1: 0, 2: 1, 3: 2, 4: 4, 5: 7}
LEAVING_POINTS = 60
CHANGED_DAY_POINTS = 1
CHANGED_MEMBER_POINTS = 3
BURDEN_PERCENT = {1: 70, 2: 85, 3: 100, 4: 125, 5: 160}

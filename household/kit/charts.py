"""The geometry of bar charts, as percentages for SVG attributes.

A chart's bars stand in the rows of a table, so the figures are always there as text. Widths are
shares of the space that the bar's cell has on the screen: nothing scales, text keeps its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from household.kit.words import duration, signed_duration

# Distances between grid lines, in minutes: the first that gives at most five lines is taken.
STEPS: Final = (15, 30, 60, 120, 300, 600, 1200, 3000, 6000, 12000)
MOST_LINES: Final = 5


@dataclass(frozen=True)
class Amount:
    """What one member did and what was agreed, in minutes."""

    name: str
    shape: str
    hue: str
    done: int
    agreed: int


@dataclass(frozen=True)
class Bar:
    """One row: figures in words, and the bar's width and the agreed line as percentages."""

    name: str
    shape: str
    hue: str
    done_words: str
    agreed_words: str
    over_words: str
    width: str
    agreed_at: str


@dataclass(frozen=True)
class GridLine:
    at: str
    words: str


@dataclass(frozen=True)
class BarChart:
    """`unit` is "hours" or "minutes", the unit in which the grid lines are counted."""

    bars: tuple[Bar, ...]
    grid: tuple[GridLine, ...]
    unit: str
    done_words: str
    agreed_words: str


def percent(part: int, whole: int) -> str:
    """A share as an SVG length, to a tenth of a percent."""
    return f"{round(1000 * part / whole) / 10:g}%"


def grid_step(longest: int) -> int:
    return next((step for step in STEPS if longest <= step * MOST_LINES), STEPS[-1])


def bar_chart(amounts: Sequence[Amount]) -> BarChart:
    """One scale for all bars, with a little air after the longest."""
    longest = max((max(amount.done, amount.agreed) for amount in amounts), default=0)
    step = grid_step(longest)
    end = max(longest, step) * 21 // 20
    in_hours = step >= 60
    lines = range(step, end + 1, step)
    return BarChart(
        bars=tuple(
            Bar(
                name=amount.name,
                shape=amount.shape,
                hue=amount.hue,
                done_words=duration(amount.done),
                agreed_words=duration(amount.agreed),
                over_words=signed_duration(amount.done - amount.agreed),
                width=percent(amount.done, end),
                agreed_at=percent(amount.agreed, end),
            )
            for amount in amounts
        ),
        grid=tuple(
            GridLine(at=percent(line, end), words=str(line // 60 if in_hours else line))
            for line in lines
        ),
        unit="hours" if in_hours else "minutes",
        done_words=duration(sum(amount.done for amount in amounts)),
        agreed_words=duration(sum(amount.agreed for amount in amounts)),
    )

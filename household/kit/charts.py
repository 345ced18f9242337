"""The geometry of bar charts, as percentages for SVG attributes.

A chart's bars stand in the rows of a table, so the figures are always there as text. Widths are
shares of the space that the bar's cell has on the screen: nothing scales, text keeps its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from household.kit.words import duration, signed_duration

# Distances between grid lines, in minutes: the first that gives at most five lines is taken.
STEPS: Final = (15, 30, 60, 120, 300, 600, 1200, 3000, 6000, 12000)
MOST_LINES: Final = 5
# Between the bars of done and those of kept lies this part of both.
GAP: Final = 12


@dataclass(frozen=True)
class Amount:
    """What one member did (and kept in mind) and what was agreed of either, in minutes."""

    name: str
    shape: str
    hue: str
    done: int
    agreed: int
    kept: int = 0
    kept_agreed: int = 0


@dataclass(frozen=True)
class Bar:
    """One row: figures in words; bars and agreed lines as percentages of the picture.

    Bars of done begin at 0, bars of kept at the chart's `kept_from`, on the same scale.
    """

    name: str
    shape: str
    hue: str
    done_words: str
    agreed_words: str
    over_words: str
    width: str
    agreed_at: str
    kept_words: str = ""
    kept_agreed_words: str = ""
    kept_width: str = "0%"
    kept_agreed_at: str = ""


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
    kept_words: str = ""
    kept_from: str = ""
    kept_grid: tuple[GridLine, ...] = ()


def percent(part: int, whole: int) -> str:
    """A share as an SVG length, to a tenth of a percent."""
    return f"{round(1000 * part / whole) / 10:g}%"


def grid_step(longest: int) -> int:
    return next((step for step in STEPS if longest <= step * MOST_LINES), STEPS[-1])


def bar_chart(amounts: Sequence[Amount], *, kept: bool = False) -> BarChart:
    """One scale for all bars, with a little air after the longest.

    With `kept`, a second axis stands right of the first, and both share the one scale: a minute
    kept is as long as a minute done.
    """
    longest = max((max(amount.done, amount.agreed) for amount in amounts), default=0)
    longest_kept = max((max(amount.kept, amount.kept_agreed) for amount in amounts), default=0)
    step = grid_step(longest)
    end = max(longest, step) * 21 // 20
    kept_end = max(longest_kept, step) * 21 // 20 if kept else 0
    start = end + (end + kept_end) // GAP if kept else end
    whole = start + kept_end
    return BarChart(
        bars=tuple(_bar(amount, start, whole, kept) for amount in amounts),
        grid=_grid(step, end, 0, whole),
        unit="hours" if step >= 60 else "minutes",
        done_words=duration(sum(amount.done for amount in amounts)),
        agreed_words=duration(sum(amount.agreed for amount in amounts)),
        kept_words=duration(sum(amount.kept for amount in amounts)) if kept else "",
        kept_from=percent(start, whole) if kept else "",
        kept_grid=_grid(step, kept_end, start, whole) if kept else (),
    )


def _bar(amount: Amount, start: int, whole: int, kept: bool) -> Bar:
    bar = Bar(
        name=amount.name,
        shape=amount.shape,
        hue=amount.hue,
        done_words=duration(amount.done),
        agreed_words=duration(amount.agreed),
        over_words=signed_duration(amount.done - amount.agreed),
        width=percent(amount.done, whole),
        agreed_at=percent(amount.agreed, whole),
    )
    if not kept:
        return bar
    return replace(
        bar,
        kept_words=duration(amount.kept),
        kept_agreed_words=duration(amount.kept_agreed),
        kept_width=percent(amount.kept, whole),
        kept_agreed_at=percent(start + amount.kept_agreed, whole),
    )


def _grid(step: int, end: int, start: int, whole: int) -> tuple[GridLine, ...]:
    return tuple(
        GridLine(at=percent(start + line, whole), words=str(line // 60 if step >= 60 else line))
        for line in range(step, end + 1, step)
    )

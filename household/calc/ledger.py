"""What each person did against the share the household agreed, over a span of days.

Minutes are whole, days are counted days at home, weights are agreed shares (non-negative).
The agreed minutes of everybody add up to what was done, so over and under add up to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from household.calc.fairness import round_to_sum, split_by_weight

# Nearer to the agreed share than this counts as even. Our own choice, no source: about the
# minutes by which a household's estimates are off in any case.
EVEN_WITHIN = 15


@dataclass(frozen=True, slots=True)
class Stake:
    """One person's agreed share and the days of the span that they were at home."""

    weight: int
    days_home: int


def pulls(stakes: Sequence[Stake]) -> tuple[int, ...]:
    """How hard each share counts: weight times days at home.

    Somebody away half of the time is asked for half of their share, and the others for more.
    Where that leaves nobody, the weights alone count; where no weight is above 0, all count alike.
    """
    home = tuple(stake.weight * stake.days_home for stake in stakes)
    if any(home):
        return home
    weights = tuple(stake.weight for stake in stakes)
    return weights if any(weights) else (1,) * len(stakes)


def agreed_minutes(total: int, stakes: Sequence[Stake]) -> tuple[int, ...]:
    """`total` minutes split as agreed, in whole minutes that sum to it; empty for nobody."""
    if not stakes:
        return ()
    return round_to_sum(split_by_weight(total, pulls(stakes)), total)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Who is furthest over (and under) the agreed share, by index, and by how many minutes.

    `under` is None, and `under_by` 0, where nobody is under by more than counts as even.
    """

    over: int
    over_by: int
    under: int | None
    under_by: int


def verdict(done: Sequence[int], agreed: Sequence[int]) -> Verdict | None:
    """The furthest over and the furthest under; None where all did about what was agreed."""
    gaps = [did - share for did, share in zip(done, agreed, strict=True)]
    if not gaps or max(gaps) < EVEN_WITHIN:
        return None
    over = gaps.index(max(gaps))
    under = gaps.index(min(gaps))
    counts = -gaps[under] >= EVEN_WITHIN
    return Verdict(
        over=over,
        over_by=gaps[over],
        under=under if counts else None,
        under_by=-gaps[under] if counts else 0,
    )


def share_percent(part: int, whole: int) -> int:
    """A part as a whole percentage, halves upwards; 0 of nothing."""
    return (200 * part + whole) // (2 * whole) if whole else 0

"""How long a chore really takes, learnt from the minutes reported with its ticks.

The usual time is the median of the recent reports. It was chosen by simulation (see the
tests): with tidy reports it is nearly as exact as a mean, and it is by far the nearest to the
truth once some reports are stray, a timer left running or a tick sent at once.

While reports are few, the median is drawn towards what was believed before: it counts n parts
and the belief PRIOR_WEIGHT parts. A member with enough reports has an estimate of their own,
drawn towards the household's; the household's is drawn towards the chore's own minutes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

RECENT = 30  # older reports tell of other habits
PRIOR_WEIGHT = 4  # 3 to 6 came nearest to the truth at 5 to 8 reports, simulated as in the tests
OWN_FROM = 5
COARSE_FROM, COARSE_STEP = 20, 5
OFFER_MINUTES, OFFER_PART = 5, Fraction(1, 5)


@dataclass(frozen=True, slots=True)
class Report:
    """Minutes that one member reported with one tick; None for somebody unknown."""

    member: int | None
    minutes: int


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the reports say.

    minutes: whole, at least 1. n: the reports it rests on. spread: their median absolute
    deviation in minutes. worth_offering: far enough from the chore's own minutes to suggest a
    change. own: from this member's reports alone.
    """

    minutes: int
    n: int
    spread: Fraction
    worth_offering: bool
    own: bool


def estimate_minutes(
    reports: Sequence[Report], default: int, *, member: int | None = None
) -> Estimate:
    """The minutes to plan for a chore, for one member or for the household (None).

    reports: of this chore, oldest first; those under a minute say nothing and are passed over.
    default: the minutes the chore has now, kept as they are where nothing was reported.
    """
    told = [report for report in reports if report.minutes > 0]
    everybody = [report.minutes for report in told][-RECENT:]
    if not everybody:
        return Estimate(default, 0, Fraction(0), worth_offering=False, own=False)
    value = _drawn(everybody, Fraction(default))
    theirs = [report.minutes for report in told if report.member == member][-RECENT:]
    own = member is not None and len(theirs) >= OWN_FROM
    used = theirs if own else everybody
    minutes = whole_minutes(_drawn(theirs, value) if own else value)
    return Estimate(minutes, len(used), spread(used), _worth_offering(minutes, default), own)


def spread(values: Sequence[int]) -> Fraction:
    """The median absolute deviation from the median; 0 for no values."""
    if not values:
        return Fraction(0)
    middle = usual(values)
    return median(abs(value - middle) for value in values)


def usual(values: Sequence[int]) -> Fraction:
    """The median, exactly. Raises StatisticsError without values."""
    return median(Fraction(value) for value in values)


def whole_minutes(value: Fraction) -> int:
    """Rounded to the minute, from 20 minutes on to 5; halves go up; never under 1."""
    step = COARSE_STEP if value >= COARSE_FROM else 1
    return max(1, int(value / step + Fraction(1, 2)) * step)


def _drawn(minutes: Sequence[int], belief: Fraction) -> Fraction:
    n = len(minutes)
    return (n * usual(minutes) + PRIOR_WEIGHT * belief) / (n + PRIOR_WEIGHT)


def _worth_offering(minutes: int, default: int) -> bool:
    """At least 5 minutes and a fifth away from what the chore has now."""
    apart = abs(minutes - default)
    return apart >= OFFER_MINUTES and apart >= OFFER_PART * default

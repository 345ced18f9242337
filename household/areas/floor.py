"""Floor areas: kept in square metres, shown in the household's units."""

from __future__ import annotations

from decimal import Decimal

from household.people.models import Household, Units

# 1 ft = 0.3048 m exactly: the international foot of 1959 (NIST SP 811, appendix B.6).
SQUARE_FOOT = Decimal("0.3048") ** 2
PLACES = Decimal("0.0001")
SHOWN = Decimal("0.1")


def unit_words(household: Household) -> str:
    return "square feet" if household.units == Units.US else "square metres"


def to_square_metres(value: Decimal, household: Household) -> Decimal:
    """A floor area as typed, in square metres to four places."""
    factor = SQUARE_FOOT if household.units == Units.US else Decimal(1)
    return (value * factor).quantize(PLACES)


def from_square_metres(value: Decimal, household: Household) -> Decimal:
    """To a tenth of the household's unit, without idle zeros."""
    factor = SQUARE_FOOT if household.units == Units.US else Decimal(1)
    shown = (value / factor).quantize(SHOWN)
    return shown.quantize(Decimal(1)) if shown == shown.to_integral_value() else shown

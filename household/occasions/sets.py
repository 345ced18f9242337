"""The sets of lead jobs that a household begins with. *Common practice, no source.*"""

from __future__ import annotations

from typing import Any, Final

from household.occasions.models import OccasionKind
from household.people.models import AgeBand, WorkKind

CARD: Final[dict[str, Any]] = {
    "name": "Write the card",
    "days_before": 10,
    "window_days": 5,
    "minutes": 15,
    "work": WorkKind.PAPERWORK,
    "min_age": AgeBand.FROM_5,
}
SETS: Final[dict[str, tuple[dict[str, Any], ...]]] = {
    OccasionKind.BIRTHDAY: (
        {
            "name": "Buy the present",
            "days_before": 14,
            "window_days": 14,
            "minutes": 45,
            "work": WorkKind.SHOPPING,
            "min_age": AgeBand.FROM_12,
        },
        CARD,
        {
            "name": "Bake the cake",
            "days_before": 1,
            "window_days": 2,
            "minutes": 60,
            "work": WorkKind.COOKING,
            "min_age": AgeBand.FROM_12,
        },
    ),
    OccasionKind.ANNIVERSARY: ({**CARD, "private": False},),
    OccasionKind.NAME_DAY: ({**CARD, "days_before": 3, "window_days": 3},),
    OccasionKind.FEAST: (
        {
            "name": "Plan the meal and the guests",
            "days_before": 14,
            "window_days": 7,
            "minutes": 30,
            "work": WorkKind.COOKING,
            "min_age": AgeBand.FROM_16,
            "private": False,
        },
        {
            "name": "Shop for it",
            "days_before": 2,
            "window_days": 3,
            "minutes": 60,
            "work": WorkKind.SHOPPING,
            "min_age": AgeBand.FROM_16,
            "private": False,
        },
    ),
    OccasionKind.EVENT: (
        {
            "name": "Get ready what is needed",
            "days_before": 2,
            "window_days": 4,
            "minutes": 30,
            "private": False,
        },
    ),
}

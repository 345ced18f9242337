"""Warning early of weeks that hold more than there is time for.

Projecting twelve weeks of every chore is heavy, so what it found is kept for as long as nothing
in the household changes and the day is the same.
"""

from __future__ import annotations

from datetime import date

from django.core.cache import cache

from household.people.models import Household
from household.week.ahead import loads

KEEP_SECONDS = 26 * 3600
MOST = 3


def early_words(household: Household, today: date) -> list[str]:
    """At most three sentences, soonest week first; the week that has begun is left out."""
    key = f"early:{household.pk}:{household.revision}:{today.isoformat()}"
    kept: list[str] | None = cache.get(key)
    if kept is None:
        kept = [week.words for week in loads(household, today)[1:] if week.tight]
        cache.set(key, kept, KEEP_SECONDS)
    return kept[:MOST]

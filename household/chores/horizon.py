"""How far ahead tasks are written."""

from datetime import date, timedelta

from django.conf import settings


def horizon_of(today: date) -> date:
    """The last day for which tasks are written; HOUSEHOLD_HORIZON_DAYS, four weeks unless told."""
    days: int = settings.HORIZON_DAYS
    return today + timedelta(days=days)

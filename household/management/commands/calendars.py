"""manage.py calendars: look at the calendars taken in whose time has come."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from household.feeds.receiving import refresh_due


class Command(BaseCommand):
    help = (
        "Look at every calendar by address whose time has come. The web server does this by "
        "itself every few minutes, unless HOUSEHOLD_SCHEDULER is 0."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        count = refresh_due(timezone.now())
        words = {0: "No calendar is", 1: "1 calendar was"}.get(count, f"{count} calendars were")
        self.stdout.write(f"{words} {'due' if not count else 'looked at'}.")

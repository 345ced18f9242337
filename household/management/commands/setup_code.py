"""manage.py setup_code: print a new code for setting the hub up."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from household.people.models import Household
from household.start import code


class Command(BaseCommand):
    help = (
        "Print a new code for making the first household in the browser. "
        "The code printed before stops working."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        if Household.objects.exists():
            raise CommandError(
                "There is a household already, so there is nothing to set up. "
                "Its organiser adds members under More, Members."
            )
        self.stdout.write(code.new_code())

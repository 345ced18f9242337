"""manage.py demo: load the demo household."""

from __future__ import annotations

import argparse
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from household import daily
from household.demo.load import keep_sign_ins, load_demo
from household.people.models import Account, Household


class Command(BaseCommand):
    help = (
        "Load the demo household, Larch Cottage, with twelve weeks of history up to today. "
        "Its sign-ins are printed and shown on the sign-in page."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument(
            "--beside",
            action="store_true",
            help="load it even though there are households already",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if Household.objects.exists() and not options["beside"]:
            raise CommandError(
                "There is a household already. To load the demo beside it, add --beside; "
                "to keep them apart, name another folder in HOUSEHOLD_DATA_DIR."
            )
        if Account.objects.filter(username__iexact="marit").exists():
            raise CommandError("The demo household is loaded already.")
        now = timezone.now()
        made = load_demo(now=now)
        report = daily.run(now=now, household=made.household)
        keep_sign_ins(made)
        self.stdout.write(
            f"{made.household}: {len(made.members)} members, {len(made.areas)} areas, "
            f"{len(made.chores)} chores, {report.written} tasks for the weeks to come."
        )

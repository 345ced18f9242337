"""manage.py daily: write the tasks that are due and close what nobody did."""

from __future__ import annotations

import argparse
import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from household import daily


class Command(BaseCommand):
    help = (
        "Do the daily work of every household whose day has begun: write the tasks from today "
        "to the horizon, let go what is past its grace. Running it again changes nothing."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("--date", help="act as if this were today, as YEAR-MONTH-DAY")
        parser.add_argument("--json", action="store_true", help="print the counts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        on = _date(options["date"]) if options["date"] else None
        report = daily.run(now=timezone.now(), on=on)
        if options["json"]:
            self.stdout.write(json.dumps(report.as_dict()))
            return
        if not report.households:
            self.stdout.write("Nothing to do: every household has had its daily work.")
            return
        self.stdout.write(
            f"{report.households} households: {report.written} tasks written, "
            f"{report.closed} let go."
        )


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            f"--date {text!r} is not a date. Write it as YEAR-MONTH-DAY, for example 2026-12-31.",
            returncode=2,
        ) from None

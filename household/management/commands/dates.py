"""`manage.py dates`: the dates of a recurrence rule, one a line."""

from __future__ import annotations

from argparse import ArgumentTypeError
from datetime import date
from itertools import islice
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from household.calc.recurrence.dates import from_day
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.rules import check, parse

MOST = 5_000


class Refused(CommandError):
    """A rule that cannot be used; its name stands before the reason on stderr."""


class Command(BaseCommand):
    help = (
        "Print the dates of a recurrence rule (RFC 5545, daily or slower), one ISO date a line. "
        "The start is printed only if the rule names it. Exit code 2: the rule is refused, or "
        "the command cannot be understood; the reason is on stderr."
    )
    # The calculation is pure: it needs neither the database nor a valid configuration.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("rule", metavar="RULE", help='such as "FREQ=WEEKLY;BYDAY=MO,TH"')
        parser.add_argument("--start", type=_day, required=True, metavar="DATE", help="first day")
        parser.add_argument("--count", type=_count, metavar="N", help=f"how many, 1 to {MOST}")
        parser.add_argument(
            "--from", dest="first", type=_day, metavar="DATE", help="first day asked for"
        )
        parser.add_argument(
            "--to", dest="last", type=_day, metavar="DATE", help="last day asked for, included"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        start, count = options["start"], options["count"]
        first, last = options["first"], options["last"]
        _check_usage(count, first, last)
        try:
            rule = parse(options["rule"])
            check(rule, start)
        except RuleError as error:
            raise Refused(str(error), returncode=2) from None
        # Either all days on from the start, as many as asked for, or those of the window.
        found = from_day(rule, start=start, day=first or start, last=last or date.max)
        for on in islice(found, count):
            self.stdout.write(on.isoformat())


def _check_usage(count: int | None, first: date | None, last: date | None) -> None:
    window = first is not None or last is not None
    if count is not None and window:
        raise CommandError("Give either --count or --from and --to, not both.", returncode=2)
    if count is None and (first is None or last is None):
        raise CommandError("Give --count N, or --from DATE and --to DATE.", returncode=2)
    if first is not None and last is not None and first > last:
        raise CommandError(f"--from {first} is later than --to {last}.", returncode=2)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f'"{text}" is not a date such as 2026-03-17') from None


def _count(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= MOST:
        raise ArgumentTypeError(f'"{text}" is not a number from 1 to {MOST}')
    return number

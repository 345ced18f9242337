"""What twelve months of history cost: Today and Overview of an old home against a new one's.

    .venv/bin/python -m tests.benchmarks.year_of_history [--rounds 40]

Two homes alike in one database, on the real server: one has a week's history, the other a
year's, each chore done three times a week. Both take turns in every round, so that a busy
machine slows them alike: only the ratios of one run hold. Target: at most 1.3 times the time.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections import defaultdict
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from tests.benchmarks.serving import Answer, Client, Hub, own_folder, signed_in
from tests.benchmarks.today import Took, timed

if TYPE_CHECKING:
    from tests.full_home import Home

WEEK, YEAR = 1, 52  # weeks
EACH_WEEK = 3
MOST = 1.3


def home_with(weeks: int) -> Home:
    from django.utils import timezone

    from tests.full_home import add_past, full_home

    now = timezone.now()
    home = full_home(now)
    add_past(home, weeks=weeks, now=now, each_week=EACH_WEEK)
    return home


def pages(home: Home) -> dict[str, Callable[[], Answer]]:
    """What is asked of a home, by its name in the table."""
    client: Client = signed_in(home.members[0].account)
    pk = home.household.pk
    client.learn_token(f"/h/{pk}/today/")
    addresses = {
        "Today, built anew": f"/bench/{pk}/anew/",
        "Today, unchanged": f"/h/{pk}/today/",
        "Overview": f"/h/{pk}/overview/",
        "History, its first page": f"/h/{pk}/overview/history/",
    }
    return {name: partial(client.get, address) for name, address in addresses.items()}


def measure(rounds: int) -> bool:
    from household.chores.models import Entry, Task

    new, old = home_with(WEEK), home_with(YEAR)
    tables = (Task.objects.all(), Entry.objects.all())
    for name, home in (("a week's history", new), ("a year's", old)):
        counts = [rows.filter(household=home.household).count() for rows in tables]
        print(f"{name}: {counts[0]} tasks, {counts[1]} entries")
    took: dict[str, list[tuple[Took, Took]]] = defaultdict(list)
    with Hub() as hub:
        of_new, of_old = pages(new), pages(old)
        for turn in range(rounds + 2):
            for name, ask in of_new.items():
                sides = [
                    lambda a=ask: timed(hub, a, 200),
                    lambda a=of_old[name]: timed(hub, a, 200),
                ]
                if turn % 2:
                    second, first = sides[1](), sides[0]()
                else:
                    first, second = sides[0](), sides[1]()
                if turn >= 2:  # the first rounds warm up
                    took[name].append((first, second))
    return show(took)


def show(took: dict[str, list[tuple[Took, Took]]]) -> bool:
    print(f"\n{'':<26}{'week ms':>9}{'year ms':>9}{'x':>7}{'cpu x':>7}{'target':>8}")
    fine = True
    for name, pairs in took.items():
        ratio = statistics.median(old.clock / new.clock for new, old in pairs)
        cpu = sum(old.cpu for _, old in pairs) / sum(new.cpu for new, _ in pairs)
        print(
            f"{name:<26}{statistics.median(new.clock for new, _ in pairs):>9.2f}"
            f"{statistics.median(old.clock for _, old in pairs):>9.2f}{ratio:>7.2f}{cpu:>7.2f}"
            f"{MOST:>8.1f}"
        )
        fine &= ratio <= MOST
    return fine


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=40)
    options = parser.parse_args()
    with own_folder():
        return 0 if measure(min(options.rounds, 500)) else 1


if __name__ == "__main__":
    sys.exit(main())

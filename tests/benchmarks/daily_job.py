"""The daily job of many households against a plain bulk_create of the rows it writes.

    .venv/bin/python -m tests.benchmarks.daily_job [--households 10000]

Each household has 60 chores: 5 daily, 20 weekly, 12 fortnightly, 11 monthly, 6 quarterly,
6 yearly. The job writes one more day at the horizon, as it does every night. The yardstick
makes the same rows with Django's bulk_create, in one transaction, objects already made.
Targets: at least 2.0 x the yardstick; a second run writes nothing.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

TODAY = date(2026, 3, 12)
NOW = datetime(2026, 3, 12, 4, 0, tzinfo=UTC)
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def rules() -> list[tuple[str, date]]:
    """Sixty rules and their starts."""
    start = date(2024, 1, 1)
    found = [("FREQ=DAILY", start)] * 5
    found += [(f"FREQ=WEEKLY;BYDAY={WEEKDAYS[n % 7]}", start) for n in range(20)]
    found += [
        (f"FREQ=WEEKLY;INTERVAL=2;BYDAY={WEEKDAYS[n % 7]}", start + timedelta(weeks=n % 2))
        for n in range(12)
    ]
    found += [(f"FREQ=MONTHLY;BYMONTHDAY={1 + n * 5 % 28}", start) for n in range(11)]
    found += [
        (f"FREQ=MONTHLY;INTERVAL=3;BYMONTHDAY={1 + n * 7 % 28}", date(2024, 1 + n % 3, 1))
        for n in range(6)
    ]
    found += [(f"FREQ=YEARLY;BYMONTH={1 + n * 2};BYMONTHDAY=9", start) for n in range(6)]
    return found


def fill(households: int) -> None:
    from household.areas.models import Area
    from household.calc.recurrence.repeat import due_next
    from household.chores.horizon import horizon_of
    from household.chores.models import Chore
    from household.chores.staging import rhythm_of
    from household.people.models import Household, Member

    homes = Household.objects.bulk_create(
        Household(name=f"Home {n}", daily_on=TODAY - timedelta(days=1)) for n in range(households)
    )
    members = Member.objects.bulk_create(
        Member(household=home, name=f"M{n}", shape="disc", hue=hue)
        for home in homes
        for n, hue in enumerate(("blue", "brick"))
    )
    areas = Area.objects.bulk_create(Area(household=home, name="Kitchen") for home in homes)
    patterns = []
    for rule, start in rules():
        chore = Chore(rule=rule, starts=start, who="fixed")
        due = due_next(chore.as_repeat(0), after=horizon_of(TODAY) - timedelta(days=1))
        assert due is not None
        patterns.append((rule, start, rhythm_of(chore, 0), due))
    for first in range(0, households, 500):
        Chore.objects.bulk_create(
            Chore(
                household=homes[h],
                area=areas[h],
                name=f"Chore {n}",
                minutes=15,
                rule=rule,
                starts=start,
                rhythm=rhythm,
                who="fixed",
                fixed=members[2 * h + n % 2],
                next_member=members[2 * h + n % 2],
                next_due=due.occurrence,
                next_opens=due.opens,
                next_closes=due.closes,
            )
            for h in range(first, min(first + 500, households))
            for n, (rule, start, rhythm, due) in enumerate(patterns)
        )


def measure(households: int) -> None:
    from django.db import transaction

    from household import daily
    from household.chores.models import Task
    from household.people.models import Household

    fill(households)
    begin = time.perf_counter()
    report = daily.run(now=NOW)
    job = time.perf_counter() - begin
    again = daily.run(now=NOW)
    Household.objects.update(daily_on=TODAY - timedelta(days=1))
    forced = daily.run(now=NOW)
    rows = list(Task.objects.all())
    Task.objects.all().delete()
    for row in rows:
        row.pk = None
    begin = time.perf_counter()
    with transaction.atomic():
        Task.objects.bulk_create(rows)
    plain = time.perf_counter() - begin
    print(f"households {households}, chores {households * 60}, rows due {report.written}")
    print(f"{'':<28}{'seconds':>9}{'x bulk_create':>15}")
    print(f"{'plain bulk_create':<28}{plain:>9.2f}{1.0:>15.2f}")
    print(f"{'daily job':<28}{job:>9.2f}{plain / job:>15.2f}")
    print(f"a second run wrote {again.written}, one that was made to look again {forced.written}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--households", type=int, default=10_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HOUSEHOLD_DATA_DIR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "household.settings"
        os.environ.setdefault("HOUSEHOLD_LOG_LEVEL", "WARNING")
        sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0, skip_checks=True)
        measure(options.households)


if __name__ == "__main__":
    main()

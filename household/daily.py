"""The daily job: a list of steps, one each from the rooms that have daily work.

It follows each household's own midnight, may run as often as it likes (what is done is not
done again), and catches up after any downtime. Opening Today runs it for that home alone.
"""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, Q

from household.breathers.queries import without_offers
from household.chores.closing import let_go
from household.chores.horizon import horizon_of
from household.chores.making import make_due
from household.helpers.actions import release_over
from household.kit.writing import writing
from household.occasions.preparing import prepare
from household.people.models import Household
from household.week.offering import fill, weeks_from

log = logging.getLogger(__name__)
STALE_AFTER = timedelta(hours=26)
CHUNK = 500  # households a transaction: ticks get in between


@dataclass(frozen=True, slots=True)
class Day:
    """One local date and the households that have reached it without their daily work."""

    today: date
    horizon: date
    households: Sequence[int]
    now: datetime


@dataclass(frozen=True, slots=True)
class Report:
    """What one run did, summed over all households."""

    households: int
    written: int
    closed: int
    offered: int
    released: int

    def as_dict(self) -> dict[str, int]:
        return asdict(self)


def write_tasks(day: Day) -> int:
    return make_due(households=day.households, today=day.today, horizon=day.horizon, now=day.now)


def close_tasks(day: Day) -> int:
    return let_go(households=day.households, today=day.today, now=day.now)


def offer_breathers(day: Day) -> int:
    """What does us good in this week and the next, in a transaction for each home.

    It looks at a whole week of free time, and so stands apart from the steps that write for
    hundreds of homes at once.
    """
    ahead = {n: weeks_from(Household(first_weekday=n), day.today)[1] for n in range(7)}
    lacking = without_offers(day.households, ahead)
    return sum(
        fill(home, today=day.today, now=day.now)
        for home in Household.objects.filter(pk__in=lacking)
    )


def prepare_occasions(day: Day) -> int:
    return prepare(households=day.households, today=day.today, horizon=day.horizon, now=day.now)


def release_helpers_tasks(day: Day) -> int:
    return release_over(households=day.households, today=day.today, now=day.now)


# Closing comes first, so that what comes round again is written, and last, for what was missed
# while the hub was off.
STEPS: list[tuple[str, Callable[[Day], int]]] = [
    ("closed", close_tasks),
    ("written", write_tasks),
    ("closed", close_tasks),
    ("written", prepare_occasions),
    ("released", release_helpers_tasks),
]


def run(*, now: datetime, on: date | None = None, household: Household | None = None) -> Report:
    """Do the daily work of all households, or of one; `on` names a date in place of today."""
    counts: dict[str, int] = defaultdict(int)
    homes = 0
    for day in _days(now, on, household):
        homes += len(day.households)
        with writing():
            for name, step in STEPS:
                counts[name] += step(day)
            Household.objects.filter(id__in=day.households).update(
                daily_on=day.today, daily_at=now, revision=F("revision") + 1
            )
        counts["offered"] += offer_breathers(day)
    report = Report(
        homes, counts["written"], counts["closed"], counts["offered"], counts["released"]
    )
    if homes:
        log.info("daily job: %s", report.as_dict())
    return report


def catch_up(household: Household, now: datetime) -> None:
    """Run the job for one home if its day has begun without it."""
    if household.daily_on is None or household.daily_on < household.today(now):
        run(now=now, household=household)
        household.refresh_from_db(fields=["daily_on", "daily_at", "revision", "breathers_until"])


def _days(now: datetime, on: date | None, household: Household | None) -> list[Day]:
    homes = Household.objects.order_by("id")
    if household is not None:
        homes = homes.filter(pk=household.pk)
    by_day: dict[date, list[int]] = defaultdict(list)
    zones = list(homes.order_by().values_list("time_zone", flat=True).distinct())
    for zone in zones:
        today = on or Household(time_zone=zone).today(now)
        due = homes.filter(Q(daily_on=None) | Q(daily_on__lt=today), time_zone=zone)
        by_day[today] += due.values_list("pk", flat=True)
    return [
        Day(today, horizon_of(today), ids[start : start + CHUNK], now)
        for today, ids in sorted(by_day.items())
        for start in range(0, len(ids), CHUNK)
    ]

"""How long chores really take, as the minutes reported with their ticks tell."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F

from household.calc.estimates import Estimate, Report, estimate_minutes
from household.chores.models import Chore, State, Task
from household.people.models import Household, Member

# Habits of more than a year ago say nothing about now; yearly chores keep their last report.
LOOK_BACK = timedelta(days=400)


@dataclass(frozen=True, slots=True)
class Person:
    """One member's own usual time, where they reported often enough."""

    member: Member
    minutes: int
    ticks: int


@dataclass(frozen=True, slots=True)
class Usual:
    """What a chore usually takes, beside what is planned for it."""

    chore: Chore
    estimate: Estimate
    people: tuple[Person, ...]

    @property
    def minutes(self) -> int:
        return self.estimate.minutes

    @property
    def worth_taking(self) -> bool:
        return self.estimate.worth_offering

    @property
    def words(self) -> str:
        """Usually takes 25 minutes (12 ticks), planned 15."""
        minutes = "1 minute" if self.minutes == 1 else f"{self.minutes} minutes"
        ticks = "1 tick" if self.estimate.n == 1 else f"{self.estimate.n} ticks"
        return f"Usually takes {minutes} ({ticks}), planned {self.chore.minutes}"


def usual_of(chore: Chore, members: Iterable[Member], today: date) -> Usual | None:
    """What one chore usually takes; nothing where no tick told."""
    reports = _reports(chore.household, today, [chore.pk]).get(chore.pk)
    return _usual(chore, reports, members) if reports else None


def worth_taking(
    household: Household, chores: Iterable[Chore], members: Iterable[Member], today: date
) -> list[Usual]:
    """The chores whose planned minutes are off, in the order given. One query."""
    reports, people = _reports(household, today), list(members)
    found = [_usual(each, reports[each.pk], people) for each in chores if each.pk in reports]
    return [usual for usual in found if usual.worth_taking]


def _reports(
    household: Household, today: date, chores: list[int] | None = None
) -> dict[int, list[Report]]:
    """Reports by chore, oldest first; of tasks done as thoroughly as the chore asks."""
    told = Task.objects.filter(
        household=household,
        state=State.DONE,
        done_on__gte=today - LOOK_BACK,
        chore__archived_at=None,
        level=F("chore__level"),
        minutes_taken__isnull=False,
        helper="",  # who comes to clean has another pace than who lives there
    )
    if chores is not None:
        told = told.filter(chore__in=chores)
    found: dict[int, list[Report]] = defaultdict(list)
    rows = told.order_by("done_on", "id").values_list("chore_id", "done_by_id", "minutes_taken")
    for chore, member, minutes in rows:
        assert chore is not None and minutes is not None
        found[chore].append(Report(member, minutes))
    return dict(found)


def _usual(chore: Chore, reports: list[Report], members: Iterable[Member]) -> Usual:
    own = [
        (member, estimate_minutes(reports, chore.minutes, member=member.pk)) for member in members
    ]
    return Usual(
        chore=chore,
        estimate=estimate_minutes(reports, chore.minutes),
        people=tuple(Person(member, each.minutes, each.n) for member, each in own if each.own),
    )

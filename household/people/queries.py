"""Reading people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from household.calc import free_time
from household.kit.by_hand import SelectModels
from household.people.models import Absence, Household, Member


def is_set_up() -> bool:
    """Whether there is any household; without one, every way in leads to the first run."""
    return Household.objects.exists()


def members(household: Household) -> QuerySet[Member]:
    """Those who live there now, in the order they came."""
    return Member.objects.filter(household=household, archived_at=None).order_by("id")


def members_with_absences(household: Household) -> QuerySet[Member]:
    return members(household).prefetch_related("absences")


def absences_of(member: Member) -> list[free_time.Absence]:
    return [as_absence(row) for row in member.absences.all()]


_EVERYBODY = SelectModels(
    "FROM household_member m LEFT JOIN household_absence a ON a.member_id = m.id AND m.id = %s "
    "WHERE m.household_id = %s ORDER BY m.id, a.starts, a.id",
    m=Member,
    a=Absence,
)


def everybody(
    household: Household, *, absences_of: int
) -> tuple[list[Member], list[free_time.Absence]]:
    """All who live or lived there, in the order they came, and one member's absences."""
    rows = _EVERYBODY.read(absences_of, household.pk)
    people: dict[int, Member] = {member.pk: member for member, _ in rows}
    return list(people.values()), [as_absence(row) for _, row in rows if row is not None]


def as_absence(row: Absence) -> free_time.Absence:
    return free_time.Absence(row.starts, row.ends, row.every_weeks, row.until)


@dataclass(frozen=True, slots=True)
class Presence:
    """Where a household's members are: days away within a span, by member id."""

    away: dict[int, frozenset[date]]

    def is_away(self, member_id: int | None, day: date) -> bool:
        return member_id is not None and day in self.away.get(member_id, ())

    def all_away(self, member_ids: Sequence[int]) -> frozenset[date]:
        """Days on which each of them is away; none when nobody is asked about."""
        days = [self.away.get(member_id, frozenset()) for member_id in member_ids]
        return frozenset.intersection(*days) if days else frozenset()


def presence(household: Household, first: date, last: date) -> Presence:
    return presence_of(members_with_absences(household), first, last)


def presence_of(people: Iterable[Member], first: date, last: date) -> Presence:
    """The same for members who were read already, with their absences."""
    away: dict[int, frozenset[date]] = {}
    for member in people:
        days = free_time.away_days(absences_of(member), first, last)
        if days:
            away[member.pk] = days
    return Presence(away)

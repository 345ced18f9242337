"""Changing ideas, and what a week offers. Which day has room is worked out by the rooms above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, Q

from household.breathers import queries
from household.breathers.models import Breather, Company, Offer
from household.breathers.starter import never_had
from household.calc import ages
from household.kit.errors import NotAllowed, Refused
from household.kit.writing import writes
from household.people.actions import touch_household
from household.people.models import AgeBand, Household, Member
from household.people.queries import members


@dataclass(frozen=True, slots=True)
class Idea:
    """What is said of an idea. `mine`: offered to its owner alone; `private`: only they see it."""

    company: str
    name: str
    minutes: int | None = None
    mine: bool = False
    private: bool = False
    min_age: str = AgeBand.UNDER_5


@writes
def add_idea(*, by: Member, idea: Idea, now: datetime) -> Breather:
    breather = Breather(household=by.household)
    _describe(breather, by, idea)
    breather.changed_at = now
    breather.save()
    touch_household(by.household_id)
    return breather


@writes
def change_idea(*, breather: Breather, by: Member, idea: Idea, now: datetime) -> None:
    """Change an idea; offers that it fits no longer are taken away from this week on."""
    if breather.owner_id not in (None, by.pk):
        raise NotAllowed(f"That idea is {breather.owner}’s own.")
    _describe(breather, by, idea)
    breather.changed_at = now
    breather.save()
    _drop_misfits(breather, now)
    touch_household(breather.household_id)


@writes
def archive_idea(*, breather: Breather, now: datetime) -> None:
    """Put an idea away, and out of what this and later weeks offer."""
    if breather.archived_at is None:
        breather.archived_at = breather.changed_at = now
        breather.save(update_fields=["archived_at", "changed_at"])
        _drop_misfits(breather, now)
        touch_household(breather.household_id)


@writes
def restore_idea(*, breather: Breather, now: datetime) -> None:
    if breather.archived_at is not None:
        _refuse_twice(breather)
        breather.archived_at, breather.changed_at = None, now
        breather.save(update_fields=["archived_at", "changed_at"])
        touch_household(breather.household_id)


@writes
def add_starter(*, household: Household, now: datetime) -> int:
    """Add the starter set's ideas that the household never had; returns how many."""
    shared = Breather.objects.filter(household=household, owner=None)
    new = [
        Breather(household=household, changed_at=now, **each._asdict())
        for each in never_had(shared.values_list("company", "name"))
    ]
    Breather.objects.bulk_create(new)
    if new:
        touch_household(household.pk)
    return len(new)


def _describe(breather: Breather, by: Member, idea: Idea) -> None:
    mine = idea.mine or idea.private
    breather.company, breather.name, breather.minutes = idea.company, idea.name, idea.minutes
    breather.owner = by if mine and idea.company == Company.ONESELF else None
    breather.private = idea.private and breather.owner is not None
    breather.min_age = idea.min_age
    _refuse_twice(breather)


def _refuse_twice(breather: Breather) -> None:
    """Names are compared within one list only, so that nothing of another's is told."""
    alike = Breather.objects.filter(
        household_id=breather.household_id,
        company=breather.company,
        owner=breather.owner,
        archived_at=None,
        name__iexact=breather.name,
    ).exclude(pk=breather.pk)
    if alike.exists():
        raise Refused(f"“{breather.name}” is on the list already.", field="name")


def _drop_misfits(breather: Breather, now: datetime) -> None:
    """Take back what is still to come and the idea is no longer for."""
    today = breather.household.today(now)
    coming = Offer.objects.filter(breather=breather).filter(
        Q(day__gte=today) | Q(day=None, starts__gt=today - timedelta(days=7))
    )
    if breather.archived_at is None:
        fits = Q(company=breather.company)
        if breather.owner_id is not None:
            fits &= Q(member=breather.owner_id)
        coming = coming.exclude(fits & ~_too_young(breather))
    coming.delete()


def _too_young(breather: Breather) -> Q:
    """Offers in which somebody is below the idea's lowest age."""
    lowest = ages.AgeBand(breather.min_age).rank
    bands = [band for band in AgeBand if ages.AgeBand(band).rank < lowest]
    young = [each.pk for each in members(breather.household) if each.age_band in bands]
    alone_or_two = Q(member__isnull=False, member__in=young) | Q(
        other__isnull=False, other__in=young
    )
    return alone_or_two | Q(company=Company.ALL) if young else alone_or_two


# Offers --------------------------------------------------------------------------------------


@writes
def offer(*, household: Household, found: Sequence[Offer]) -> int:
    """Keep what weeks offer; what was offered by somebody else meanwhile stays."""
    weeks = sorted({each.starts for each in found})
    have = queries.offered_in(household, weeks)
    new = [each for each in found if (each.starts, each.company, _own(each)) not in have]
    # Two processes may offer at once: a week keeps what came first.
    Offer.objects.bulk_create(new, ignore_conflicts=True)
    if new:
        until = max(each.starts for each in new) + timedelta(days=6)
        Household.objects.filter(pk=household.pk).update(breathers_until=until)
        touch_household(household.pk)
    return len(new)


def _own(each: Offer) -> int | None:
    return each.member_id if each.company == Company.ONESELF else None


@writes
def take_another(*, offered: Offer, breather: Breather, now: datetime) -> None:
    """Offer another idea for the same week; the one before comes later in the round."""
    if breather.pk == offered.breather_id:
        return
    passed = [each for each in offered.passed if each != breather.pk]
    _change(offered, now, breather=breather, passed=[*passed, offered.breather_id])


@writes
def choose_day(*, offered: Offer, day: date | None, now: datetime, by_hand: bool = True) -> None:
    """Put it on another day of its week; None leaves it to whichever day suits."""
    if day is not None and not 0 <= (day - offered.starts).days < 7:
        raise Refused("Choose a day of that week.")
    if day != offered.day or by_hand != offered.by_hand:
        _change(offered, now, day=day, by_hand=by_hand)


@writes
def leave_out(*, offered: Offer, now: datetime) -> None:
    """Not this week. Nothing is owed: the idea simply comes round again."""
    if not offered.left_out:
        _change(offered, now, left_out=True)


@writes
def have_back(*, offered: Offer, now: datetime) -> None:
    if offered.left_out:
        _change(offered, now, left_out=False)


def _change(offered: Offer, now: datetime, **fields: object) -> None:
    for name, value in fields.items():
        setattr(offered, name, value)
    offered.changed_at = now
    Offer.objects.filter(pk=offered.pk).update(**fields, changed_at=now, sequence=F("sequence") + 1)
    touch_household(offered.household_id)

"""Ideas and offers for tests."""

from __future__ import annotations

from datetime import date
from typing import Any

from household.breathers.models import Breather, Company, Offer
from household.people.models import Household, Member
from household.week.offering import fill
from tests.factories import NOW


def make_idea(household: Household, name: str = "An hour in the garden", **fields: Any) -> Breather:
    """A shared one for oneself, unless said otherwise."""
    usual = {"company": Company.ONESELF, "changed_at": NOW}
    return Breather.objects.create(household=household, name=name, **{**usual, **fields})


def make_private(owner: Member, name: str = "Learn to juggle") -> Breather:
    return make_idea(owner.household, name, owner=owner, private=True)


def make_offer(breather: Breather, **fields: Any) -> Offer:
    """An offer of this week, on Thursday 12 March 2026."""
    Household.objects.filter(pk=breather.household_id).update(breathers_until=date(2026, 3, 22))
    usual = {"starts": date(2026, 3, 9), "day": date(2026, 3, 12), "changed_at": NOW}
    return Offer.objects.create(
        household=breather.household,
        company=breather.company,
        breather=breather,
        **{**usual, **fields},
    )


def offered(household: Household) -> int:
    return fill(household, today=household.today(NOW), now=NOW)

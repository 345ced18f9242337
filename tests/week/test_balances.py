"""The balance carried from week to week, against weeks counted by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from household.people.models import Absence, Household, Member
from household.people.queries import members_with_absences
from household.week.balances import LIMIT, WEEKS, balances
from tests.factories import make_member, make_task

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 16)


def did(member: Member, minutes: int, weeks_ago: int, **fields: object) -> None:
    day = MONDAY - timedelta(weeks=weeks_ago) + timedelta(days=2)
    make_task(
        member.household,
        day=day,
        minutes=minutes,
        state="done",
        done_on=day,
        done_by=member,
        **fields,
    )


def carried(household: Household, before: date = MONDAY) -> dict[str, int]:
    people = tuple(members_with_absences(household))
    found = balances(household, people, before)
    return {member.name: found[member.pk] for member in people}


@pytest.fixture
def pair(household: Household) -> tuple[Member, Member]:
    return make_member(household, "Ana"), make_member(household, "Ben")


def test_two_uneven_weeks_add_up(household: Household, pair: tuple[Member, Member]) -> None:
    # Two weeks ago 100 and 60: half of 160 is 80, so +20 and -20.
    # Last week 30 and 50: half of 80 is 40, so -10 and +10. Together +10 and -10.
    ana, ben = pair
    did(ana, 100, 2)
    did(ben, 60, 2)
    did(ana, 30, 1)
    did(ben, 50, 1)
    assert carried(household) == {"Ana": 10, "Ben": -10}


def test_the_limit_holds_each_week_so_one_odd_week_is_soon_over(
    household: Household, pair: tuple[Member, Member]
) -> None:
    # Three weeks ago Ana did 600 of 600: +300, kept at +90; Ben -300, kept at -90.
    # Then Ben did 40 more than Ana (80 to 40, share 60): Ana 90 - 20 = 70, Ben -90 + 20 = -70.
    ana, ben = pair
    did(ana, 600, 3)
    assert carried(household, MONDAY - timedelta(weeks=2)) == {"Ana": LIMIT, "Ben": -LIMIT}
    did(ben, 80, 2)
    did(ana, 40, 2)
    assert carried(household) == {"Ana": 70, "Ben": -70}


def test_shares_are_as_agreed_and_by_days_at_home(
    household: Household, pair: tuple[Member, Member]
) -> None:
    # Weights 10 and 5: of 90 minutes 60 and 30 are agreed. Ana did 90, so +30, Ben -30.
    ana, ben = pair
    ben.weight = 5
    ben.save()
    did(ana, 90, 1)
    assert carried(household) == {"Ana": 30, "Ben": -30}
    # Ben was away the whole of that week: nothing was asked of him, all 90 of Ana.
    start = MONDAY - timedelta(weeks=1)
    Absence.objects.create(member=ben, starts=start, ends=start + timedelta(days=6))
    assert carried(household) == {"Ana": 0, "Ben": 0}


def test_minutes_told_count_before_minutes_planned(
    household: Household, pair: tuple[Member, Member]
) -> None:
    ana, ben = pair
    did(ana, 20, 1, minutes_taken=50)
    did(ben, 50, 1)
    assert carried(household) == {"Ana": 0, "Ben": 0}


def test_the_coming_week_and_what_is_long_past_do_not_count(
    household: Household, pair: tuple[Member, Member]
) -> None:
    ana, _ = pair
    did(ana, 60, 0)
    did(ana, 60, WEEKS + 1)
    assert carried(household) == {"Ana": 0, "Ben": 0}
    did(ana, 60, WEEKS)
    assert carried(household) == {"Ana": 30, "Ben": -30}


def test_work_of_somebody_who_has_left_is_shared_among_nobody(
    household: Household, pair: tuple[Member, Member]
) -> None:
    gone = make_member(household, "Gone")
    did(gone, 100, 1)
    did(pair[0], 20, 1)
    Member.objects.filter(pk=gone.pk).update(archived_at="2026-03-15T00:00Z")
    assert carried(household) == {"Ana": 10, "Ben": -10}

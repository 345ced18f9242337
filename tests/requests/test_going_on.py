"""The statement that Today is made with says what the room's own querysets say."""

from __future__ import annotations

from datetime import timedelta
from itertools import product
from typing import Any

import pytest
from django.db.models import Q, QuerySet

from household.chores.models import State, Task
from household.people.models import Household, Member
from household.requests.models import Request, Standing
from household.requests.queries import going_on, standing_open, to_be_thanked, visible, with_people
from tests.factories import NOW, TODAY, make_household, make_member
from tests.requests.making import make_outsider, make_request

pytestmark = pytest.mark.django_db
OVER = (State.DONE, State.SKIPPED, State.OPEN, None)
MINUTE = timedelta(minutes=1)


def every_sort(household: Household, people: list[Member]) -> None:
    """Each standing with each end of its task, for adults or all, by each or by the screen."""
    outsider = make_outsider(household)
    sorts = product(Standing, OVER, (True, False), (*people, None))
    for number, (standing, state, for_adults, asker) in enumerate(sorts):
        taker = people[number % len(people)]
        task = state and Task.objects.create(
            household=household,
            name=f"Task {number}",
            minutes=5,
            opens=TODAY,
            closes=TODAY,
            state=state,
            member=taker,
            done_by=taker if state == State.DONE else None,
        )
        Request.objects.create(
            household=household,
            asker=asker,
            what=f"Request {number}",
            standing=standing,
            task=task,
            taken_by=taker if task else None,
            outsider=outsider if standing == Standing.OUTSIDE else None,
            for_adults=for_adults,
            created_at=NOW + MINUTE * (number % 7),
            changed_at=NOW,
        )


def by_querysets(member: Member) -> QuerySet[Request]:
    seen = visible(member.household, member)
    done = Q(standing=Standing.DONE) | Q(standing=Standing.TAKEN, task__state=State.DONE)
    wanted = Q(pk__in=standing_open(seen)) | Q(pk__in=seen.filter(done, asker=member))
    return with_people(seen.filter(wanted)).order_by("-created_at", "-id")


def told(asked: Request) -> tuple[Any, ...]:
    """All that a line of Today may name."""
    task = asked.task
    return (
        *(asked.pk, asked.what, asked.standing, asked.created_at, asked.declined),
        *(asked.household_id, asked.asker, asked.taken_by, asked.outsider, task),
        task and (task.state, task.closes, task.done_by),
    )


@pytest.mark.parametrize("role", ["organiser", "member", "child"])
def test_it_reads_what_the_querysets_read(household: Household, role: str) -> None:
    people = [
        make_member(household, "Marit", role="organiser"),
        make_member(household, "Dev"),
        make_member(household, "Oona", role="child", age_band="school"),
    ]
    every_sort(household, people)
    looking = people[("organiser", "member", "child").index(role)]
    found = going_on(looking)
    assert [told(each) for each in found] == [told(each) for each in by_querysets(looking)]
    assert len(found) > 50
    assert to_be_thanked(visible(household, looking), looking).exists()


def test_it_stays_in_the_household(household: Household, member: Member) -> None:
    other = make_household(name="Elsewhere")
    make_request(other, make_member(other, "Nilo"))
    assert going_on(member) == []


def test_one_statement_reads_all_that_it_names(
    household: Household, member: Member, organiser: Member, django_assert_num_queries: Any
) -> None:
    every_sort(household, [member, organiser])
    with django_assert_num_queries(1):
        for asked in going_on(organiser):
            told(asked)

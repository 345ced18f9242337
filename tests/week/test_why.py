"""Why a task is with somebody: one sentence for each kind of reason."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from household.chores.models import Task
from household.people.models import Absence, Household, Member
from household.week import actions
from household.week.models import WeekPlan
from household.week.queries import Week, read_week
from household.week.why import why_words
from tests.factories import NOW, TODAY, make_chore, make_member, make_task

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 16)


@pytest.fixture
def ana(household: Household) -> Member:
    return make_member(household, "Ana", free_minutes=[60] * 7)


@pytest.fixture
def ben(household: Household) -> Member:
    return make_member(household, "Ben", free_minutes=[60] * 7)


def week_of(household: Household) -> Week:
    return read_week(household, MONDAY, TODAY)


def drafted(household: Household, name: str, member: Member, **fields: Any) -> Task:
    """A weekly chore's task on Tuesday, drafted for this member but not held there."""
    usual = {"rule": "FREQ=WEEKLY;BYDAY=TU", "who": "anyone", "minutes": 30}
    chore = make_chore(household, name, **{**usual, **fields})
    tuesday = MONDAY + timedelta(days=1)
    task: Task = chore.tasks.get(closes=tuesday)
    actions.put(week=week_of(household), task=task, member=member, day=tuesday, held=False)
    return task


def why(household: Household, task: Task) -> list[str]:
    week = week_of(household)
    return why_words(week, next(each for each in week.tasks if each.pk == task.pk))


def test_nobody_has_it_yet(household: Household, ana: Member, ben: Member) -> None:
    task = make_task(household, opens=MONDAY, closes=MONDAY + timedelta(days=6), day=None)
    assert why(household, task) == [
        "Everybody may do it.",
        "It has no person or day in this week yet.",
    ]


def test_put_by_hand(household: Household, ana: Member, ben: Member) -> None:
    task = make_task(household, opens=MONDAY, closes=MONDAY, day=None)
    actions.put(week=week_of(household), task=task, member=ben, day=MONDAY)
    assert why(household, task) == ["Everybody may do it.", "It was put with Ben by hand."]


def test_set_aside_for_one(household: Household, ana: Member, ben: Member) -> None:
    task = drafted(household, "Post", ana, who="fixed", fixed=ana)
    assert why(household, task)[1] == "This one is set aside for Ana."


def test_only_one_may(household: Household, ana: Member, ben: Member) -> None:
    task = drafted(household, "Post", ana, may=[ana.pk])
    assert why(household, task) == ["Only Ana may do it.", "Only Ana may do this one."]


def test_some_may_and_nobody_may(
    household: Household, ana: Member, ben: Member, child: Member
) -> None:
    task = drafted(household, "Gutters", ana, hazards=["ladder"])
    assert why(household, task)[0] == "Ana and Ben may do it."
    for person in (ana, ben):
        person.age_band = "8_11"
        person.save()
    assert why(household, task)[0] == "Nobody may do it: look at its age, hazards and skill."


def test_the_other_has_no_time(household: Household, ana: Member, ben: Member) -> None:
    ben.free_minutes = [10] * 7
    ben.save()
    task = drafted(household, "Post", ana)
    assert why(household, task)[1] == (
        "Ben could, but has 10 minutes left that day: 20 minutes would not fit."
    )


def test_the_shares_would_be_further_apart(household: Household, ana: Member, ben: Member) -> None:
    drafted(household, "Bath", ben)
    task = drafted(household, "Post", ana)
    assert why(household, task)[1] == "With Ben, the shares would be 60 minutes further apart."


def test_the_settled_plan_has_it_there(household: Household, ana: Member, ben: Member) -> None:
    """Three tasks of half an hour: with either of them one has 30 more, so neither is fairer."""
    tuesday = MONDAY + timedelta(days=1)
    make_task(household, "Own", minutes=30, day=tuesday, member=ana)
    make_task(household, "Other", minutes=30, day=tuesday, member=ben)
    task = drafted(household, "Post", ana)
    actions.settle(week=week_of(household), actor=ana, now=NOW)
    Task.objects.update(created_at=NOW)
    assert why(household, task)[1] == (
        "Ana had it in the settled plan, and a change would gain nothing."
    )


def test_it_suits_one_better(household: Household, ana: Member, ben: Member) -> None:
    ben.dislikes = {"laundry": 5}
    ben.save()
    ana.dislikes = {"laundry": 1}
    ana.save()
    task = drafted(household, "Fold", ana, kind="laundry")
    assert why(household, task)[1] == "Ben could too. It suits Ana better."


def test_either_would_do(household: Household, ana: Member, ben: Member) -> None:
    task = drafted(household, "Post", ana)
    assert why(household, task)[1] == "Ben could do it just as well: swap if you both like."


def test_the_reason_is_that_of_the_settled_tasks_when_there_is_no_draft(
    household: Household, ana: Member, ben: Member
) -> None:
    task = drafted(household, "Post", ana)
    actions.settle(week=week_of(household), actor=ana, now=NOW)
    Absence.objects.create(member=ben, starts=MONDAY, ends=MONDAY + timedelta(days=6))
    assert WeekPlan.objects.get().places == {}
    assert why(household, task)[1] == "Only Ana may do this one."

"""Making lists: what may stand on them, what they take from members, and how they end."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from household import daily
from household.chores import ticking
from household.chores.hiding import hide
from household.chores.horizon import horizon_of
from household.chores.models import Did, State
from household.chores.queries import day_values, is_of
from household.helpers import actions, doing
from household.helpers.models import HelperList, ListedTask
from household.helpers.queries import candidates, listed
from household.kit.errors import Conflict, Refused
from household.people.models import Household, Member
from household.week.assembling import problem_of
from household.week.queries import read_week
from tests.factories import NOW, TODAY, make_chore, make_member, make_task
from tests.helpers.making import USUAL, make_list
from tests.requests.making import make_request, taken_by

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


def on_list(helper_list: HelperList) -> set[str]:
    return {each.task.name for each in listed(helper_list)}


def test_a_chosen_task_is_nobodys_at_home_any_more(organiser: Member, member: Member) -> None:
    task = make_task(organiser.household, "Mop the floor", member=member)
    made, _ = make_list(organiser, [task])
    task.refresh_from_db()
    assert (task.member, task.helper, on_list(made)) == (None, "Rosa", {"Mop the floor"})
    entry = task.entries.get()
    assert (entry.actor, entry.did) == (organiser, Did.HANDED)


def test_making_it_twice_makes_one(organiser: Member) -> None:
    key = uuid4()
    made = [
        actions.make_list(
            household=organiser.household, fields=USUAL, by=organiser, now=NOW, key=key
        ).pk
        for _ in range(2)
    ]
    assert made[0] == made[1]


def test_spoken_for_is_not_in_the_pool_and_not_in_the_share_out(
    household: Household, organiser: Member, member: Member
) -> None:
    taken, free = make_task(household, "Mop"), make_task(household, "Sweep")
    make_list(organiser, [taken])
    pool = [
        value["name"] for value in day_values(household, TODAY, [member]) if is_of(value, member)
    ]
    assert pool == ["Sweep"]
    week = read_week(household, TODAY, TODAY)
    assert {job.id for job in problem_of(week).tasks} == {str(free.pk)}
    assert [task.name for task in week.spoken_for] == ["Mop"]
    taken.refresh_from_db()
    with pytest.raises(Refused, match="on the list of Rosa"):
        ticking.take(task=taken, member=member, now=NOW)


def test_a_member_who_gets_or_does_it_after_all_has_it(
    household: Household, organiser: Member, member: Member
) -> None:
    handed, done = make_task(household, "Mop"), make_task(household, "Sweep")
    made, _ = make_list(organiser, [handed, done])
    for task in (handed, done):
        task.refresh_from_db()
    ticking.assign(task=handed, to=member, actor=organiser, now=NOW)
    ticking.tick(task=done, member=member, now=NOW, horizon=horizon_of(TODAY))
    assert (handed.member, handed.helper) == (member, "")
    assert (done.done_by, done.helper) == (member, "")
    assert on_list(made) == {"Sweep"}  # done already, as the helper sees
    ticking.undo(task=done, member=member, now=NOW, horizon=horizon_of(TODAY))
    done.refresh_from_db()
    assert (done.done_by, done.helper) == (None, "Rosa")


def test_taking_it_off_the_list_gives_it_back(household: Household, organiser: Member) -> None:
    stays, leaves = make_task(household, "Mop"), make_task(household, "Sweep")
    made, _ = make_list(organiser, [stays, leaves])
    actions.choose_tasks(helper_list=made, task_ids=[stays.pk], by=organiser, now=NOW)
    leaves.refresh_from_db()
    assert (leaves.helper, leaves.member, on_list(made)) == ("", None, {"Mop"})


def test_stopping_gives_back_what_is_to_do_and_keeps_what_is_done(
    household: Household, organiser: Member
) -> None:
    done, left = make_task(household, "Mop"), make_task(household, "Sweep")
    made, _ = make_list(organiser, [done, left])
    doing.tick(listed=ListedTask.objects.get(task=done), now=NOW, key=None)
    actions.stop_list(helper_list=made, by=organiser, now=NOW)
    left.refresh_from_db()
    done.refresh_from_db()
    assert (left.helper, done.helper, done.state) == ("", "Rosa", State.DONE)
    made.refresh_from_db()
    assert actions.start_list(helper_list=made, by=organiser, now=NOW) == []
    left.refresh_from_db()
    assert left.helper == "Rosa" and on_list(made) == {"Mop", "Sweep"}


def test_what_somebody_took_meanwhile_stays_theirs_when_it_answers_again(
    household: Household, organiser: Member, member: Member
) -> None:
    task = make_task(household, "Mop")
    made, _ = make_list(organiser, [task])
    actions.stop_list(helper_list=made, by=organiser, now=NOW)
    task.refresh_from_db()
    ticking.take(task=task, member=member, now=NOW)
    made.refresh_from_db()
    actions.start_list(helper_list=made, by=organiser, now=NOW)
    task.refresh_from_db()
    assert (task.member, task.helper) == (member, "") and not on_list(made)


def test_the_daily_job_gives_back_what_an_ended_list_left_undone(
    household: Household, organiser: Member
) -> None:
    task = make_task(household, "Mop")
    make_list(organiser, [task])
    assert daily.run(now=NOW, household=household).released == 0
    assert daily.run(now=NOW + timedelta(days=1), household=household).released == 1
    task.refresh_from_db()
    entry = task.entries.first()
    assert task.helper == "" and entry is not None and entry.actor is None


def test_a_list_that_gets_later_days_has_its_tasks_again(
    household: Household, organiser: Member
) -> None:
    task = make_task(household, "Mop")
    made, _ = make_list(organiser, [task])
    tomorrow = NOW + timedelta(days=1)
    daily.run(now=tomorrow, household=household)
    later = {**USUAL, "starts": TODAY, "ends": TOMORROW}
    assert actions.change_list(helper_list=made, fields=later, by=organiser, now=tomorrow) == []
    task.refresh_from_db()
    assert task.helper == "Rosa"


def test_what_no_longer_fits_its_days_leaves_it(household: Household, organiser: Member) -> None:
    today, next_day = make_task(household, "Mop"), make_task(household, "Sweep", day=TOMORROW)
    made, _ = make_list(organiser, [today, next_day], ends=TOMORROW)
    fields = {**USUAL, "starts": TOMORROW, "ends": TOMORROW}
    actions.change_list(helper_list=made, fields=fields, by=organiser, now=NOW)
    today.refresh_from_db()
    assert today.helper == "" and on_list(made) == {"Sweep"}


def test_only_tasks_of_its_days_may_be_chosen(household: Household, organiser: Member) -> None:
    late = TODAY - timedelta(days=3)
    make_task(household, "Late", day=late)
    make_task(household, "Today")
    make_task(household, "Tomorrow", day=TOMORROW)
    make_task(household, "Any day", opens=TODAY, closes=TODAY + timedelta(days=6), day=None)
    made, _ = make_list(organiser)
    names = {task.name for task in candidates(made, TODAY)}
    assert names == {"Late", "Today", "Any day"}


def test_a_task_is_on_one_list_only(household: Household, organiser: Member) -> None:
    task = make_task(household, "Mop")
    first, _ = make_list(organiser, [task])
    second, _ = make_list(organiser, name="Imre")
    assert not candidates(second, TODAY).exists()
    actions.choose_tasks(helper_list=second, task_ids=[task.pk], by=organiser, now=NOW)
    assert on_list(first) == {"Mop"} and not on_list(second)


def test_what_is_taken_on_as_a_request_is_not_for_a_list(organiser: Member, member: Member) -> None:
    taken_by(member, make_request(organiser.household, organiser))
    made, _ = make_list(organiser)
    assert not candidates(made, TODAY).exists()


def test_what_is_kept_secret_from_anybody_is_not_for_a_list(
    household: Household, organiser: Member, member: Member
) -> None:
    hide(make_task(household, "Wrap the scarf"), [member.pk])
    made, _ = make_list(organiser)
    assert not candidates(made, TODAY).exists()


@pytest.mark.parametrize(
    ("limits", "age", "words"),
    [
        ({"dangers": ["gas"]}, "adult", "licensed person"),
        ({"dangers": ["mains"]}, "adult", "licensed person"),
        ({"min_age": "adult"}, "12_15", "adult"),
    ],
)
def test_hard_limits_stand_for_helpers_too(
    household: Household, organiser: Member, limits: Any, age: str, words: str
) -> None:
    task = make_task(household, "The boiler", limits=limits)
    made, _ = make_list(organiser, age_band=age)
    refused = actions.choose_tasks(helper_list=made, task_ids=[task.pk], by=organiser, now=NOW)
    assert len(refused) == 1 and words in refused[0]
    task.refresh_from_db()
    assert task.helper == "" and not on_list(made)


@pytest.mark.parametrize(
    ("hazard", "age", "on"),
    [("gas", "adult", False), ("ladder", "adult", True), ("ladder", "12_15", False)],
)
def test_a_chores_hazards_are_limits_too(
    household: Household, organiser: Member, hazard: str, age: str, on: bool
) -> None:
    chore = make_chore(household, "Bulbs", hazards=[hazard], needs_skill="ladder")
    task = chore.tasks.order_by("closes").first()
    assert task is not None
    made, _ = make_list(organiser, age_band=age)
    actions.choose_tasks(helper_list=made, task_ids=[task.pk], by=organiser, now=NOW)
    assert (on_list(made) == {"Bulbs"}) is on


def test_another_homes_task_cannot_be_chosen(organiser: Member, outsider: Member) -> None:
    made, _ = make_list(organiser)
    theirs = make_task(outsider.household, "Theirs")
    actions.choose_tasks(helper_list=made, task_ids=[theirs.pk], by=organiser, now=NOW)
    theirs.refresh_from_db()
    assert theirs.helper == "" and not on_list(made)


def test_a_new_address_is_made_once_by_one_form(organiser: Member) -> None:
    made, token = make_list(organiser)
    mark = actions.mark_of(made)
    assert actions.new_address(helper_list=made, standing=mark, now=NOW) != token
    with pytest.raises(Conflict):
        actions.new_address(helper_list=made, standing=mark, now=NOW)


def test_an_ended_list_gets_no_address_and_no_tasks(organiser: Member) -> None:
    made, _ = make_list(organiser)
    actions.stop_list(helper_list=made, by=organiser, now=NOW)
    made.refresh_from_db()
    with pytest.raises(Refused, match="stopped"):
        actions.choose_tasks(helper_list=made, task_ids=[], by=organiser, now=NOW)
    with pytest.raises(Refused, match="stopped"):
        actions.new_address(helper_list=made, standing=actions.mark_of(made), now=NOW)


def test_nobody_is_named_twice(household: Household, organiser: Member) -> None:
    """The database itself keeps a task from being a member's and a helper's."""
    from django.db import IntegrityError

    make_member(household, "Ilo")
    with pytest.raises(IntegrityError):
        make_task(household, "Mop", member=organiser, helper="Rosa")

"""A settled week: what others change keeps it settled, and sharing out again disturbs little."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from household.chores import ticking
from household.chores.models import Task
from household.people.models import Absence, Household, Member
from household.week import actions, sitting
from household.week.assembling import problem_of
from household.week.models import WeekPlan
from household.week.page import changed_since
from household.week.places import where_in
from household.week.queries import Week, read_week
from tests.factories import NOW, TODAY, make_chore, make_member, make_task

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]
MONDAY = date(2026, 3, 16)
LATER = NOW + timedelta(hours=2)


def week_of(household: Household, today: date = TODAY) -> Week:
    return read_week(household, MONDAY, today)


def any_day(household: Household, name: str, minutes: int = 20) -> Task:
    return make_task(
        household,
        name,
        minutes=minutes,
        opens=MONDAY,
        closes=MONDAY + timedelta(days=6),
        day=None,
    )


@pytest.fixture
def settled(household: Household, organiser: Member, member: Member) -> list[Task]:
    """Four tasks, shared out between two and settled."""
    tasks = [any_day(household, name) for name in ("Bath", "Beds", "Hall", "Yard")]
    sitting.share(week_of(household))
    actions.settle(week=week_of(household), actor=organiser, now=NOW)
    return tasks


def test_sharing_out_again_moves_nothing_that_need_not_move(
    household: Household, settled: list[Task]
) -> None:
    sitting.share(week_of(household))
    assert actions.changes(week_of(household)) == []


def test_each_settled_place_is_published_to_the_share_out(
    household: Household, settled: list[Task]
) -> None:
    week = week_of(household)
    published = {task.id: task.published for task in problem_of(week).tasks}
    for task in week.tasks:
        place = published[str(task.pk)]
        assert place is not None
        assert task.day is not None
        assert (int(place.member), week.days[place.day]) == (task.member_id, task.day)


def test_only_what_has_to_change_changes_when_somebody_falls_ill(
    household: Household, organiser: Member, member: Member, settled: list[Task]
) -> None:
    Absence.objects.create(member=member, starts=MONDAY, ends=MONDAY + timedelta(days=6))
    theirs = {task.pk for task in week_of(household).tasks if task.member_id == member.pk}
    assert theirs
    sitting.share(week_of(household))
    assert {each.task.pk for each in actions.changes(week_of(household))} == theirs


def test_a_draft_counts_nothing_as_published(household: Household, member: Member) -> None:
    any_day(household, "Bath")
    make_task(household, "Fixed day", day=MONDAY, member=member)
    assert {task.published for task in problem_of(week_of(household)).tasks} == {None}


def test_what_came_up_after_the_settling_is_not_published(
    household: Household, member: Member, settled: list[Task]
) -> None:
    task = make_task(household, "Late guest", day=MONDAY, member=member)
    Task.objects.filter(pk=task.pk).update(created_at=LATER)
    published = {each.id: each.published for each in problem_of(week_of(household)).tasks}
    assert published[str(task.pk)] is None
    assert published[str(settled[0].pk)] is not None


def test_a_place_on_a_day_that_is_over_is_not_published(
    household: Household, settled: list[Task]
) -> None:
    after = MONDAY + timedelta(days=6)
    problem = problem_of(week_of(household, today=after))
    for task in problem.tasks:
        assert task.published is None or task.published.day == 6


def test_handing_over_elsewhere_keeps_the_week_settled_and_says_so(
    household: Household,
    organiser: Member,
    member: Member,
    settled: list[Task],
    client_for: ClientFor,
) -> None:
    assert not changed_since(week_of(household))
    task = Task.objects.select_related("household", "chore").get(pk=settled[0].pk)
    other = member if task.member_id == organiser.pk else organiser
    ticking.hand_over(task=task, to=other, actor=organiser, now=LATER)
    week = week_of(household)
    assert week.plan.settled_at == NOW
    where = where_in(week, next(each for each in week.tasks if each.pk == task.pk))
    assert where is not None
    assert where.member == other
    assert changed_since(week)
    page = client_for(member).get(f"/h/{household.pk}/week/{MONDAY}/").content.decode()
    assert "Settled by Marit" in page
    assert "Changed since it was settled." in page


def test_changing_a_settled_week_asks_first_and_the_first_settling_does_not(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    task, client = any_day(household, "Bath"), client_for(organiser)
    settle = f"/h/{household.pk}/week/{MONDAY}/settle/"
    actions.put(week=week_of(household), task=task, member=organiser, day=MONDAY)
    assert client.post(settle).status_code == 302
    actions.put(week=week_of(household), task=task, member=member, day=MONDAY)
    page = client.post(settle).content.decode()
    assert "Bath goes to Dev" in page
    assert "from Marit" in page
    task.refresh_from_db()
    assert task.member == organiser
    assert client.post(settle, {"sure": "1"}).status_code == 302
    task.refresh_from_db()
    assert task.member == member


def test_a_draft_for_somebody_who_may_not_any_more_is_refused_whole(
    household: Household, organiser: Member, child: Member, client_for: ClientFor
) -> None:
    chore = make_chore(household, "Gutters", rule="FREQ=WEEKLY;BYDAY=TU", who="anyone")
    task = chore.tasks.get(closes=MONDAY + timedelta(days=1))
    other = any_day(household, "Bath")
    week = week_of(household)
    actions.put(week=week, task=other, member=organiser, day=MONDAY)
    actions.put(week=week_of(household), task=task, member=child, day=MONDAY)
    chore.hazards = ["ladder"]
    chore.save()
    client = client_for(organiser)
    answer = client.post(f"/h/{household.pk}/week/{MONDAY}/settle/", {"sure": "1"})
    assert answer.status_code == 422
    assert "ladder" in answer.content.decode()
    other.refresh_from_db()
    assert other.member is None
    assert WeekPlan.objects.get().settled_at is None


def test_a_draft_is_passed_over_once_its_day_is_over_or_its_person_away(
    household: Household, organiser: Member
) -> None:
    task = any_day(household, "Bath")
    actions.put(week=week_of(household), task=task, member=organiser, day=MONDAY)
    tuesday = week_of(household, today=MONDAY + timedelta(days=1))
    assert where_in(tuesday, tuesday.tasks[0]) is None
    Absence.objects.create(member=organiser, starts=MONDAY, ends=MONDAY)
    away = week_of(household)
    assert where_in(away, away.tasks[0]) is None


def test_what_was_done_this_week_counts_towards_the_shares_of_the_rest(
    household: Household, organiser: Member, member: Member
) -> None:
    # By hand: 60 done by Marit alone, equal shares, so she is 30 ahead and Dev 30 behind.
    # Of the 40 minutes left, the fair targets are (40 + 0)/2 -/+ 30 -> Dev all 40, Marit none.
    wednesday = MONDAY + timedelta(days=2)
    make_task(
        household,
        "Done",
        day=MONDAY,
        minutes=60,
        state="done",
        done_on=MONDAY,
        done_by=organiser,
    )
    any_day(household, "Rest", 40)
    people = problem_of(week_of(household, today=wednesday)).member_by_id
    assert people[str(organiser.pk)].balance == 30
    assert people[str(member.pk)].balance == -30
    assert (people[str(organiser.pk)].target, people[str(member.pk)].target) == (0, 40)


def test_leaving_somebody_out_of_the_household_leaves_no_ghost_in_the_plan(
    household: Household, organiser: Member, settled: list[Task]
) -> None:
    gone = make_member(household, "Gone")
    task = any_day(household, "Extra")
    actions.put(week=week_of(household), task=task, member=gone, day=MONDAY)
    Member.objects.filter(pk=gone.pk).update(archived_at=NOW)
    week = week_of(household)
    assert where_in(week, next(each for each in week.tasks if each.pk == task.pk)) is None


def test_a_draft_is_the_organisers_until_it_is_settled(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    task = any_day(household, "Bath")
    actions.put(week=week_of(household), task=task, member=member, day=MONDAY)
    page, why = f"/h/{household.pk}/week/{MONDAY}/", f"tasks/{task.pk}/why/"
    told = client_for(member).get(page).content.decode()
    assert "A plan for this week is being made." in told
    assert "Not planned yet." in told
    assert "no person or day" in client_for(member).get(f"{page}{why}").content.decode()
    assert "Draft." in client_for(organiser).get(page).content.decode()
    assert "by hand" in client_for(organiser).get(f"{page}{why}").content.decode()

"""Planning a week: sharing out, putting by hand, undoing, settling, easing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.chores.models import State, Task
from household.devices.models import Notice
from household.kit.errors import Refused
from household.people.models import Absence, Household, Member
from household.week import actions, sitting
from household.week.assembling import problem_of
from household.week.models import WeekPlan
from household.week.queries import Week, read_week
from household.week.strength import have_back, lighten_week, propose
from tests.factories import NOW, TODAY, make_chore, make_household, make_member, make_task

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]
MONDAY = date(2026, 3, 16)
HORIZON = date(2026, 4, 9)


def week_of(household: Household, day: date = MONDAY) -> Week:
    return read_week(household, day, TODAY)


def address(household: Household, path: str = "") -> str:
    return f"/h/{household.pk}/week/{MONDAY.isoformat()}/{path}"


def test_the_problem_holds_what_closes_in_the_week_and_no_more(
    household: Household, member: Member
) -> None:
    make_task(household, "Dated", day=MONDAY)
    make_task(household, "Any", opens=MONDAY, closes=MONDAY + timedelta(days=6), day=None)
    make_task(household, "Waits", opens=MONDAY, closes=MONDAY + timedelta(days=20), day=None)
    make_task(household, "Next week", day=MONDAY + timedelta(days=8))
    week = week_of(household)
    names = {task.name for task in week.tasks if str(task.pk) in problem_of(week).task_by_id}
    assert names == {"Dated", "Any"}


def test_away_days_are_closed_to_a_member(household: Household, member: Member) -> None:
    Absence.objects.create(member=member, starts=MONDAY, ends=MONDAY + timedelta(days=2))
    (person,) = problem_of(week_of(household)).members
    assert person.away == (0, 1, 2)
    assert person.capacity[:3] == (0, 0, 0)


def test_sharing_out_gives_every_task_a_person_and_a_day(household: Household) -> None:
    people = [make_member(household, name, role="organiser") for name in ("Ana", "Ben")]
    child = make_member(household, "Cai", age_band="8_11", role="child")
    for n in range(4):
        make_chore(household, f"Sweep {n}", rule="FREQ=DAILY", minutes=10)
    make_chore(household, "Gutters", hazards=["ladder"], rule="FREQ=WEEKLY;BYDAY=TU")
    plan = sitting.share(week_of(household))
    week = week_of(household)
    assert set(plan.places) == {str(task.pk) for task in week.tasks}
    assert plan.outcome["proven"] is True
    gutters = next(task for task in week.tasks if task.name == "Gutters")
    assert plan.places[str(gutters.pk)]["member"] in {person.pk for person in people}
    minutes = {member.pk: 0 for member in (*people, child)}
    for task in week.tasks:
        minutes[plan.places[str(task.pk)]["member"]] += task.minutes
    assert max(minutes.values()) - min(minutes.values()) <= 20


def test_what_was_put_by_hand_stays_there(household: Household) -> None:
    ana, ben = (make_member(household, name) for name in ("Ana", "Ben"))
    task = make_task(household, "Any", opens=MONDAY, closes=MONDAY + timedelta(days=6), day=None)
    make_task(household, "Other", day=MONDAY)
    friday = MONDAY + timedelta(days=4)
    actions.put(week=week_of(household), task=task, member=ben, day=friday)
    plan = sitting.share(week_of(household))
    assert plan.places[str(task.pk)] == {
        "member": ben.pk,
        "day": friday.isoformat(),
        "held": True,
    }
    assert ana.pk in {place["member"] for place in plan.places.values()}


def test_hard_limits_hold_by_hand_too(household: Household, child: Member) -> None:
    chore = make_chore(household, "Gutters", hazards=["ladder"], rule="FREQ=WEEKLY;BYDAY=TU")
    task = chore.tasks.filter(opens__gte=MONDAY).first()
    assert task is not None
    with pytest.raises(Refused, match="ladder"):
        actions.put(week=week_of(household), task=task, member=child, day=MONDAY)
    Absence.objects.create(member=child, starts=MONDAY, ends=MONDAY)
    plain = make_task(household, "Plain", day=MONDAY)
    with pytest.raises(Refused, match="away"):
        actions.put(week=week_of(household), task=plain, member=child, day=MONDAY)


def test_every_step_can_be_taken_back(household: Household, member: Member) -> None:
    task = make_task(household, "Any", day=MONDAY)
    actions.put(week=week_of(household), task=task, member=member, day=MONDAY)
    actions.put(week=week_of(household), task=task, member=member, day=MONDAY + timedelta(days=1))
    plan = week_of(household).plan
    assert actions.undo_step(plan=plan)
    assert plan.places[str(task.pk)]["day"] == MONDAY.isoformat()
    actions.undo_step(plan=plan)
    assert plan.places == {}
    assert actions.undo_step(plan=plan) == ""


def test_settling_writes_days_and_people_and_tells_them(
    household: Household, organiser: Member, member: Member
) -> None:
    task = make_task(household, "Any", opens=MONDAY, closes=MONDAY + timedelta(days=6), day=None)
    day = MONDAY + timedelta(days=3)
    actions.put(week=week_of(household), task=task, member=member, day=day)
    before = household.revision
    from household.week.telling import tell_of

    week = week_of(household)
    made = actions.settle(week=week, actor=organiser, now=NOW)
    tell_of(week, made, actor=organiser, now=NOW)
    task.refresh_from_db()
    assert (task.member, task.day) == (member, day)
    assert task.entries.get().did == "handed"
    plan = WeekPlan.objects.get()
    assert (plan.settled_by, plan.places) == (organiser, {})
    assert "1 task for you" in Notice.objects.get(to=member).words
    household.refresh_from_db()
    assert household.revision > before
    assert actions.settle(week=week_of(household), actor=organiser, now=NOW) == []


def test_a_search_in_the_background_does_not_overwrite_what_was_put_by_hand(
    household: Household, member: Member
) -> None:
    task = make_task(household, "Any", day=MONDAY)
    plan = sitting.share(week_of(household))
    shared = dict(plan.places)
    actions.put(week=week_of(household), task=task, member=member, day=MONDAY + timedelta(days=1))
    assert not actions.better_draft(plan_id=plan.pk, was=shared, places={}, outcome={})
    assert str(task.pk) in WeekPlan.objects.get().places


def test_easing_a_week_keeps_health_and_safety_and_can_be_had_back(
    household: Household, organiser: Member
) -> None:
    organiser.free_minutes = [10] * 7
    organiser.save()
    safe = make_chore(household, "Alarms", importance=4, rule="FREQ=WEEKLY;BYDAY=TU", minutes=60)
    low = make_chore(household, "Shine", importance=1, rule="FREQ=WEEKLY;BYDAY=TU", minutes=60)
    proposal = propose(week_of(household), bare=True)
    assert [task.chore for task in proposal.waiting] == [low]
    ids = {task.pk for task in proposal.waiting}
    lighten_week(
        week=week_of(household),
        leave_out=ids,
        lighten=set(),
        actor=organiser,
        now=NOW,
        horizon=HORIZON,
    )
    assert Task.objects.get(pk__in=ids).state == State.SKIPPED
    assert safe.tasks.filter(state=State.SKIPPED).count() == 0
    assert have_back(week=week_of(household), actor=organiser, now=NOW, horizon=HORIZON) == 1
    assert Task.objects.get(pk__in=ids).state == State.OPEN


def test_strength_takes_from_the_free_minutes(household: Household, member: Member) -> None:
    WeekPlan.objects.create(
        household=household, starts=MONDAY, strength=50, strengths={str(member.pk): 0}
    )
    other = make_member(household, "Eva")
    week = week_of(household)
    assert week.free[member.pk] == (0,) * 7
    assert week.free[other.pk][0] == other.free_minutes[0] // 2


def test_week_53_and_the_turn_of_the_year(
    household: Household, organiser: Member, client_for: ClientFor
) -> None:
    # 2026 has 53 ISO weeks; its last runs from 28 December 2026 to 3 January 2027 (ISO 8601).
    client = client_for(organiser)
    page = client.get(f"/h/{household.pk}/week/2026-12-28/")
    assert page.status_code == 200
    assert "28 December 2026 to 3 January 2027" in page.content.decode()
    assert client.get(f"/h/{household.pk}/week/2026-12-29/").status_code == 404
    assert client.get(f"/h/{household.pk}/week/2026-02-30/").status_code == 404


@pytest.mark.parametrize(
    "path",
    ["week/2026-03-16/", "week/month/2026/3/", "week/year/2026/", "week/ahead/"],
)
def test_as_many_queries_for_thirty_rows_as_for_three(
    path: str, client_for: ClientFor, now: object
) -> None:
    def queries(count: int) -> int:
        home = make_household()
        one = make_member(home, role="organiser")
        for _ in range(count):
            make_chore(home, rule="FREQ=WEEKLY", who="turns", may=[one.pk])
        client = client_for(one)
        client.get(f"/h/{home.pk}/{path}")
        with CaptureQueriesContext(connection) as captured:
            assert client.get(f"/h/{home.pk}/{path}").status_code == 200
        return len(captured)

    assert queries(3) == queries(30)


def test_only_an_organiser_plans_and_everybody_reads(
    household: Household, member: Member, child: Member, outsider: Member, client_for: ClientFor
) -> None:
    for person in (member, child):
        client = client_for(person)
        assert client.get(address(household)).status_code == 200
        for path in ("share/", "settle/", "undo/", "notes/", "lighten/"):
            assert client.post(address(household, path)).status_code == 404
    assert client_for(outsider).get(address(household)).status_code == 404


def test_why_is_answered_for_anybody(
    household: Household, member: Member, child: Member, client_for: ClientFor
) -> None:
    chore = make_chore(
        household, "Gutters", hazards=["ladder"], rule="FREQ=WEEKLY;BYDAY=TU", who="anyone"
    )
    task = chore.tasks.filter(opens__gte=MONDAY).first()
    assert task is not None
    page = client_for(child).get(address(household, f"tasks/{task.pk}/why/"))
    assert "Only Dev may do it." in page.content.decode()

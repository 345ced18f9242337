"""Lead jobs become tasks in good time, once, and follow their occasion."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from household import daily
from household.chores import ticking
from household.chores.models import Did, Entry, Hidden, State, Task
from household.occasions import actions
from household.occasions.actions import Wanted
from household.occasions.models import LeadJob, LeadTask, Occasion
from household.people.models import Household, Member
from tests.factories import NOW, TODAY, make_household, make_member
from tests.occasions.making import make_job, make_occasion

pytestmark = pytest.mark.django_db
HORIZON = TODAY + timedelta(days=28)


def leads(occasion: Occasion) -> dict[str, Task]:
    """The occasion's tasks by the names of their lead jobs, newest year last."""
    rows = LeadTask.objects.filter(occasion=occasion).select_related("task", "job")
    return {row.job.name: row.task for row in rows.order_by("year")}


def run(on: date, hour: int = 9) -> None:
    daily.run(now=datetime.combine(on, datetime.min.time(), UTC) + timedelta(hours=hour))


def changed(occasion: Occasion, organiser: Member, **fields: object) -> None:
    concerns = list(occasion.concerns.all())
    actions.change_occasion(
        occasion=occasion, actor=organiser, wanted=Wanted(fields, concerns), now=NOW
    )


def test_a_birthday_brings_its_three_usual_jobs_counted_back(
    household: Household, organiser: Member, member: Member
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member])  # on 9 April
    found = leads(occasion)
    windows = {name: (task.opens, task.closes) for name, task in found.items()}
    assert windows == {
        "Buy the present": (date(2026, 3, 13), date(2026, 3, 26)),
        "Write the card": (date(2026, 3, 26), date(2026, 3, 30)),
        "Bake the cake": (date(2026, 4, 7), date(2026, 4, 8)),
    }
    card = found["Write the card"]
    assert (card.name, card.minutes, card.member) == ("Write the card: Dev’s birthday", 15, None)
    assert card.day is None


def test_what_opens_beyond_the_horizon_is_written_when_its_time_comes(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser, month=5, day=14)
    assert leads(occasion) == {}  # the first job opens on 17 April, the horizon is 9 April
    run(date(2026, 3, 20))
    assert set(leads(occasion)) == {"Buy the present"}
    run(date(2026, 4, 20))
    assert len(leads(occasion)) == 3


def test_running_again_writes_nothing_twice(household: Household, organiser: Member) -> None:
    make_occasion(household, organiser)
    for hour in (9, 10, 11):
        household.daily_on = None
        household.save(update_fields=["daily_on"])
        run(TODAY, hour)
    assert LeadTask.objects.count() == Task.objects.count() == 3


def test_a_card_is_due_again_a_year_later(household: Household, organiser: Member) -> None:
    occasion = make_occasion(household, organiser)
    run(date(2027, 3, 20))
    assert {row.year for row in LeadTask.objects.filter(occasion=occasion)} == {2026, 2027}


def test_after_a_downtime_what_was_missed_is_for_today_while_there_is_time(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser, month=5, day=14)
    run(date(2026, 5, 10))  # the hub was off while present and card should have been done
    found = leads(occasion)
    today = date(2026, 5, 10)
    assert found["Write the card"].closes == found["Buy the present"].closes == today
    assert found["Bake the cake"].closes == date(2026, 5, 13)
    run(date(2026, 5, 11))
    again = leads(occasion)["Write the card"]
    assert again.closes == today and again.sequence == 0  # it stays due since then


def test_nothing_is_written_for_a_day_that_is_over(household: Household, organiser: Member) -> None:
    occasion = make_occasion(household, organiser, month=3, day=11)
    assert leads(occasion) == {}


def test_when_the_day_is_over_what_is_still_open_is_let_go(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    cake = leads(occasion)["Bake the cake"]
    run(date(2026, 4, 9))
    cake.refresh_from_db()
    assert cake.state == State.OPEN
    run(date(2026, 4, 10))
    cake.refresh_from_db()
    assert (cake.state, cake.reason) == (State.LAPSED, "The occasion is over")
    assert Entry.objects.filter(task=cake, did=Did.LAPSED, actor=None).exists()


def test_moving_the_occasion_moves_what_is_open_and_nothing_else(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    found = leads(occasion)
    ticking.tick(task=found["Buy the present"], member=organiser, now=NOW, horizon=HORIZON)
    ticking.move(task=found["Write the card"], day=date(2026, 3, 28), actor=organiser, now=NOW)
    changed(occasion, organiser, day=7)
    again = leads(occasion)
    assert again["Buy the present"].closes == date(2026, 3, 26)
    assert again["Buy the present"].state == State.DONE
    card = again["Write the card"]
    assert (card.opens, card.closes) == (date(2026, 3, 24), date(2026, 3, 28))
    assert card.day == date(2026, 3, 28)  # still inside its days
    assert again["Bake the cake"].closes == date(2026, 4, 6)
    assert Task.objects.count() == 3


def test_a_planned_day_outside_the_new_days_is_given_up(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    card = leads(occasion)["Write the card"]
    ticking.move(task=card, day=date(2026, 3, 30), actor=organiser, now=NOW)
    changed(occasion, organiser, day=5)
    assert leads(occasion)["Write the card"].day is None


def test_moving_it_far_off_and_back_brings_the_same_tasks_back(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    before = {name: task.pk for name, task in leads(occasion).items()}
    changed(occasion, organiser, month=11)
    assert {task.state for task in leads(occasion).values()} == {State.LAPSED}
    changed(occasion, organiser, month=4)
    after = leads(occasion)
    assert {name: task.pk for name, task in after.items()} == before
    assert {task.state for task in after.values()} == {State.OPEN}


def test_putting_it_away_lets_its_tasks_go_and_bringing_it_back_brings_them_back(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    actions.archive_occasion(occasion=occasion, actor=organiser, now=NOW)
    assert {task.state for task in leads(occasion).values()} == {State.LAPSED}
    actions.restore_occasion(occasion=occasion, actor=organiser, now=NOW)
    assert {task.state for task in leads(occasion).values()} == {State.OPEN}


def test_what_somebody_left_out_is_not_brought_back(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    card = leads(occasion)["Write the card"]
    ticking.skip(task=card, member=organiser, reason="No card", now=NOW, horizon=HORIZON)
    changed(occasion, organiser, day=8)
    assert leads(occasion)["Write the card"].state == State.SKIPPED


def test_changing_a_lead_job_changes_what_is_open(household: Household, organiser: Member) -> None:
    occasion = make_occasion(household, organiser)
    job = LeadJob.objects.get(name="Write the card", kind="birthday")
    actions.change_job(
        job=job, now=NOW, fields={"name": "Draw a card", "minutes": 40, "days_before": 7}
    )
    card = leads(occasion)["Draw a card"]
    assert (card.name, card.minutes) == ("Draw a card: Dev’s birthday", 40)
    assert (card.opens, card.closes) == (date(2026, 3, 29), date(2026, 4, 2))


def test_a_job_taken_out_of_the_set_lets_its_task_go(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    job = LeadJob.objects.get(name="Bake the cake")
    actions.archive_job(job=job, now=NOW)
    assert leads(occasion)["Bake the cake"].state == State.LAPSED
    actions.restore_job(job=job, now=NOW)
    assert leads(occasion)["Bake the cake"].state == State.OPEN


def test_a_new_job_of_the_set_is_written_for_what_is_coming(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    make_job(household)
    assert leads(occasion)["Ring them"].closes == date(2026, 4, 6)


def test_own_lead_jobs_take_over_the_tasks_that_stand(
    household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    other = make_occasion(household, organiser, "Greta’s birthday")
    before = {task.pk for task in leads(occasion).values()}
    actions.give_own_jobs(occasion=occasion, actor=organiser, now=NOW)
    assert {task.pk for task in leads(occasion).values()} == before
    cake = LeadJob.objects.get(occasion=occasion, name="Bake the cake")
    actions.archive_job(job=cake, now=NOW)
    assert leads(occasion)["Bake the cake"].state == State.LAPSED
    assert leads(other)["Bake the cake"].state == State.OPEN
    actions.drop_own_jobs(occasion=occasion, actor=organiser, now=NOW)
    again = leads(occasion)
    assert {task.pk for task in again.values()} == before
    assert {task.state for task in again.values()} == {State.OPEN}


def test_a_private_job_is_neither_for_nor_seen_by_those_whom_it_concerns(
    household: Household, organiser: Member, member: Member
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member])
    for task in leads(occasion).values():
        assert task.limits is not None and task.limits["hidden_from"] == [member.pk]
    assert set(Hidden.objects.values_list("member", flat=True)) == {member.pk}


def test_where_nobody_else_lives_there_nothing_is_hidden() -> None:
    home = make_household(name="Attic")
    alone = make_member(home, "Ilo", role="organiser")
    occasion = make_occasion(home, alone, "Ilo’s birthday", concerns=[alone])
    assert len(leads(occasion)) == 3
    assert not Hidden.objects.exists()


def test_a_changed_person_changes_from_whom_it_is_kept(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member])
    card = leads(occasion)["Write the card"]
    ticking.assign(task=card, to=child, actor=organiser, now=NOW, did=Did.HANDED)
    actions.change_occasion(occasion=occasion, actor=organiser, wanted=Wanted({}, [child]), now=NOW)
    card = leads(occasion)["Write the card"]
    assert set(card.hidden.values_list("member", flat=True)) == {child.pk}
    assert card.member is None


def test_only_those_whom_the_job_names_may_do_it(
    household: Household, organiser: Member, member: Member
) -> None:
    job_for = make_job(household, may=[organiser.pk])
    occasion = make_occasion(household, organiser)
    task = leads(occasion)[job_for.name]
    with pytest.raises(Exception, match="Dev is not among those who do it"):
        ticking.assign(task=task, to=member, actor=organiser, now=NOW, did=Did.HANDED)


def test_its_keeper_is_credited_when_it_is_ticked(
    household: Household, organiser: Member, member: Member
) -> None:
    job = make_job(household, keeper=organiser, keep_minutes=7)
    occasion = make_occasion(household, organiser)
    task = leads(occasion)[job.name]
    ticking.tick(task=task, member=member, now=NOW, horizon=HORIZON)
    assert (task.kept_by_id, task.kept_minutes) == (organiser.pk, 7)
    ticking.undo(task=task, member=member, now=NOW, horizon=HORIZON)
    assert (task.kept_by_id, task.kept_minutes) == (organiser.pk, 7)


def test_each_household_has_its_own_day_across_zones_and_clock_changes() -> None:
    # 29 March 2026: Europe/Dublin goes from 00:59 to 02:00 (Directive 2000/84/EC).
    home = make_household(time_zone="Europe/Dublin")
    organiser = make_member(home, "Ilo", role="organiser")
    with time_machine.travel(datetime(2026, 3, 28, 12, tzinfo=UTC), tick=False):
        occasion = make_occasion(
            home, organiser, month=3, day=29, now=datetime(2026, 3, 28, 12, tzinfo=UTC)
        )
    assert leads(occasion)["Bake the cake"].closes == date(2026, 3, 28)
    daily.run(now=datetime(2026, 3, 29, 22, 30, tzinfo=UTC))  # 23:30 on the day itself
    assert leads(occasion)["Bake the cake"].state == State.OPEN
    daily.run(now=datetime(2026, 3, 29, 23, 30, tzinfo=UTC))  # 00:30 on the day after
    assert leads(occasion)["Bake the cake"].state == State.LAPSED


def test_29_february_moves_with_the_households_choice(
    household: Household, organiser: Member
) -> None:
    now = datetime(2027, 2, 10, 9, tzinfo=UTC)
    occasion = make_occasion(household, organiser, month=2, day=29, year=2016, now=now)
    assert leads(occasion)["Bake the cake"].closes == date(2027, 2, 27)
    actions.keep_leap_day(household=household, leap=actions.Leap.MARCH, now=now)
    assert leads(occasion)["Bake the cake"].closes == date(2027, 2, 28)


def test_the_daily_job_asks_as_much_for_thirty_as_for_three(
    household: Household, organiser: Member
) -> None:
    def cost() -> int:
        household.daily_on = None
        household.save(update_fields=["daily_on"])
        with CaptureQueriesContext(connection) as seen:
            run(TODAY)
        return len(seen)

    for number in range(3):
        make_occasion(household, organiser, f"Birthday {number}")
    few = cost()
    for number in range(27):
        make_occasion(household, organiser, f"Another {number}")
    assert cost() == few

"""Ticking and all that a person does with a task: once, undone, refused."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, timedelta

import pytest

from household import daily
from household.calc.recurrence.repeat import Kind, Unit
from household.chores import ticking
from household.chores.models import Entry, State, Task
from household.kit.errors import NotAllowed, Refused
from tests.factories import make_chore, make_household, make_member

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 12, 8, 0, tzinfo=UTC)
TODAY = date(2026, 3, 12)
HORIZON = date(2026, 4, 9)


@pytest.fixture
def household():
    return make_household()


@pytest.fixture
def ana(household):
    return make_member(household, name="Ana")


def first_task(chore) -> Task:
    daily.run(now=NOW, household=chore.household)
    return chore.tasks.order_by("occurrence").first()


def tick(task: Task, member, **more) -> Task:
    return ticking.tick(task=task, member=member, now=NOW, horizon=HORIZON, **more)


def test_a_tick_sets_done_with_who_and_when(household, ana):
    task = tick(first_task(make_chore(household, keeper=ana, keep_minutes=3)), ana)
    task.refresh_from_db()
    assert (task.state, task.done_by, task.done_at, task.done_on) == (
        State.DONE,
        ana,
        NOW,
        TODAY,
    )
    assert (task.kept_by, task.kept_minutes) == (ana, 3)
    assert task.entries.get().before["state"] == State.OPEN


def test_the_same_tick_sent_twice_changes_nothing(household, ana):
    task, key = first_task(make_chore(household)), uuid.uuid4()
    tick(task, ana, key=key)
    other = make_member(household, name="Ben")
    again = Task.objects.select_related("chore", "household").get(pk=task.pk)
    tick(again, other, key=key)
    tick(again, other, key=uuid.uuid4())
    task.refresh_from_db()
    assert task.done_by == ana
    assert Entry.objects.filter(task=task).count() == 1


def test_the_moment_of_doing_is_kept_within_a_fortnight(household, ana):
    yesterday, long_ago = NOW - timedelta(days=1), NOW - timedelta(days=40)
    task = tick(first_task(make_chore(household)), ana, done_at=yesterday)
    assert task.done_on == TODAY - timedelta(days=1)
    task = tick(first_task(make_chore(household)), ana, done_at=long_ago)
    assert task.done_at == NOW - timedelta(days=14)
    task = tick(first_task(make_chore(household)), ana, done_at=NOW + timedelta(days=1))
    assert task.done_at == NOW


def test_undo_puts_back_what_stood_before_and_keeps_both_entries(household, ana):
    task = tick(first_task(make_chore(household, keeper=ana)), ana)
    ticking.measure(task=task, minutes=25, member=ana, now=NOW)
    ticking.undo(task=task, member=ana, now=NOW, horizon=HORIZON)
    task.refresh_from_db()
    assert (task.state, task.done_by, task.done_at, task.minutes_taken) == (
        State.OPEN,
        None,
        None,
        None,
    )
    assert [entry.did for entry in task.entries.order_by("id")] == ["ticked", "measured", "undone"]


def test_undo_twice_does_no_more_than_once(household, ana):
    task = tick(first_task(make_chore(household)), ana)
    for _ in range(2):
        ticking.undo(task=task, member=ana, now=NOW, horizon=HORIZON)
    task.refresh_from_db()
    assert task.state == State.OPEN
    assert task.entries.count() == 2


def test_a_chore_counted_from_the_last_time_moves_with_tick_and_undo(household, ana):
    chore = make_chore(
        household, repeat=Kind.AFTER_DONE, every=10, unit=Unit.DAYS, starts=date(2026, 3, 10)
    )
    task = tick(first_task(chore), ana)
    following = chore.tasks.get(state=State.OPEN)
    assert following.closes == TODAY + timedelta(days=10)
    ticking.undo(task=task, member=ana, now=NOW, horizon=HORIZON)
    assert list(chore.tasks.filter(state=State.OPEN)) == [task]
    tick(Task.objects.select_related("chore", "household").get(pk=task.pk), ana)
    assert chore.tasks.get(state=State.OPEN).closes == TODAY + timedelta(days=10)


def test_ticking_such_a_chore_early_and_again_the_same_day_keeps_it_going(household, ana):
    chore = make_chore(
        household, repeat=Kind.AFTER_DONE, every=5, unit=Unit.DAYS, starts=date(2026, 3, 10)
    )
    tick(first_task(chore), ana)
    following = chore.tasks.select_related("chore", "household").get(state=State.OPEN)
    tick(following, ana)
    assert chore.tasks.get(state=State.OPEN).closes >= TODAY + timedelta(days=5)


def test_skipping_keeps_the_reason_and_refuses_what_is_done(household, ana):
    task = first_task(make_chore(household))
    ticking.skip(task=task, member=ana, reason="We were out", now=NOW, horizon=HORIZON)
    task.refresh_from_db()
    assert (task.state, task.reason) == (State.SKIPPED, "We were out")
    done = tick(first_task(make_chore(household)), ana)
    with pytest.raises(Refused):
        ticking.skip(task=done, member=ana, reason="No", now=NOW, horizon=HORIZON)


def test_a_skipped_chore_counted_from_the_last_time_comes_round_again(household, ana):
    chore = make_chore(
        household, repeat=Kind.AFTER_DONE, every=7, unit=Unit.DAYS, starts=date(2026, 3, 12)
    )
    task = first_task(chore)
    ticking.skip(task=task, member=ana, reason="Rain", now=NOW, horizon=HORIZON)
    assert chore.tasks.get(state=State.OPEN).closes == TODAY + timedelta(days=7)
    chore.refresh_from_db()
    assert chore.last_done_on is None


def test_taking_from_the_pool_and_not_from_somebody_else(household, ana):
    task = first_task(make_chore(household, who="anyone"))
    ticking.take(task=task, member=ana, now=NOW)
    assert task.member == ana or task.member_id == ana.pk
    task = Task.objects.select_related("chore", "household", "member").get(pk=task.pk)
    with pytest.raises(Refused, match="Ana has taken"):
        ticking.take(task=task, member=make_member(household, name="Ben"), now=NOW)


def test_hard_limits_hold_when_a_task_is_handed_over(household, ana):
    child = make_member(household, name="Ilo", age_band="8_11", role="child")
    task = first_task(make_chore(household, hazards=["ladder"]))
    with pytest.raises(Refused, match="Ilo is 8 to 11"):
        ticking.hand_over(task=task, to=child, actor=ana, now=NOW)


def test_a_child_does_not_hand_out_work_to_others(household, ana):
    child = make_member(household, name="Ilo", age_band="8_11", role="child")
    task = first_task(make_chore(household, who="fixed", fixed=ana))
    with pytest.raises(NotAllowed):
        ticking.hand_over(task=task, to=None, actor=child, now=NOW)


def test_a_one_off_sent_twice_is_added_once(household, ana):
    key = uuid.uuid4()
    made = [
        ticking.add_one_off(
            household=household,
            actor=ana,
            now=NOW,
            name="Post the parcel",
            minutes=10,
            opens=TODAY,
            closes=TODAY,
            member=ana,
            key=key,
        )
        for _ in range(2)
    ]
    assert made[0] == made[1]
    assert Task.objects.filter(name="Post the parcel").count() == 1


def test_every_change_lets_the_households_counter_grow(household, ana):
    task = first_task(make_chore(household))
    household.refresh_from_db()
    before = household.revision
    tick(task, ana)
    household.refresh_from_db()
    assert household.revision > before

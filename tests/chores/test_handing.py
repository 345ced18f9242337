"""Handing over many tasks at once: what goes through, what stays and why, and taking it back."""

from __future__ import annotations

from datetime import timedelta

import pytest

from household.chores import handing, ticking
from household.chores.horizon import horizon_of
from household.chores.models import Did, Entry, Task
from household.people.models import Absence, Household, Member
from tests.factories import NOW, TODAY, make_chore, make_household, make_member, make_task

DAY = timedelta(days=1)


def hand(household: Household, tasks: list[Task], to: Member | None, by: Member) -> handing.Outcome:
    return handing.hand_all(
        household=household, task_ids=[task.pk for task in tasks], to=to, actor=by, now=NOW
    )


def who(tasks: list[Task]) -> list[int | None]:
    return [Task.objects.get(pk=task.pk).member_id for task in tasks]


def of_chore(household: Household, name: str, **fields: object) -> Task:
    task = make_chore(household, name, **fields).tasks.first()
    assert task is not None
    return task


def test_all_go_to_somebody_with_an_entry_each(household, organiser, member):
    tasks = [make_task(household, f"T{n}", member=organiser) for n in range(3)]
    outcome = hand(household, tasks, member, organiser)
    assert who(tasks) == [member.pk] * 3
    assert outcome.refused == []
    entries = Entry.objects.filter(pk__in=outcome.entries)
    assert {(e.did, e.actor_id, e.about_id) for e in entries} == {
        (Did.HANDED, organiser.pk, member.pk)
    }


def test_all_go_to_nobody_yet(household, organiser, member):
    tasks = [make_task(household, f"T{n}", member=member) for n in range(2)]
    hand(household, tasks, None, organiser)
    assert who(tasks) == [None, None]


def test_what_somebody_has_already_writes_nothing_the_second_time(household, organiser, member):
    tasks = [make_task(household, "T", member=organiser)]
    hand(household, tasks, member, organiser)
    again = hand(household, tasks, member, organiser)
    assert (again.entries, again.refused) == ([], [])
    assert Entry.objects.filter(task=tasks[0]).count() == 1


def test_too_young_stays_and_the_rest_goes_through(household, organiser, child):
    ladder = of_chore(household, "Gutters", hazards=["ladder"], who="fixed", fixed=organiser)
    easy = make_task(household, "Post the parcel", member=organiser)
    outcome = hand(household, [ladder, easy], child, organiser)
    assert who([ladder, easy]) == [organiser.pk, child.pk]
    (sentence,) = outcome.refused
    assert sentence.startswith("“Gutters” stays.")
    assert "because of the ladder" in sentence


def test_not_skilled_stays(household, organiser, member):
    irons = of_chore(household, "Shirts", needs_skill="ironing", who="fixed", fixed=organiser)
    outcome = hand(household, [irons], member, organiser)
    assert len(outcome.refused) == 1
    member.skills = ["ironing"]
    member.save()
    assert hand(household, [irons], member, organiser).refused == []


def test_away_on_the_day_stays(household, organiser, member):
    Absence.objects.create(member=member, starts=TODAY + DAY, ends=TODAY + DAY)
    today = make_task(household, "Now", member=organiser)
    tomorrow = make_task(household, "Then", member=organiser, day=TODAY + DAY)
    outcome = hand(household, [today, tomorrow], member, organiser)
    assert outcome.refused == ["“Then” stays. Dev is away tomorrow."]
    assert who([today, tomorrow]) == [member.pk, organiser.pk]


def test_away_for_a_part_of_its_days_is_no_reason(household, organiser, member):
    Absence.objects.create(member=member, starts=TODAY, ends=TODAY + DAY)
    some = {"opens": TODAY, "day": None, "member": organiser}
    short = make_task(household, "Short", closes=TODAY + DAY, **some)
    long = make_task(household, "Long", closes=TODAY + 2 * DAY, **some)
    outcome = hand(household, [short, long], member, organiser)
    assert outcome.refused == ["“Short” stays. Dev is away today to tomorrow."]
    assert who([long]) == [member.pk]


def test_what_is_done_stays(household, organiser, member):
    task = make_task(household, "Sweep", member=organiser)
    ticking.tick(task=task, member=organiser, now=NOW, horizon=horizon_of(TODAY))
    assert hand(household, [task], member, organiser).refused == [
        "“Sweep” stays. It is done already."
    ]


def test_tasks_of_another_home_are_not_touched(household, organiser, member):
    theirs = make_task(make_household(), "Theirs")
    assert hand(household, [theirs], member, organiser) == handing.Outcome()
    assert who([theirs]) == [None]


def test_all_move_to_another_day(household, organiser):
    one = make_task(household, "One", member=organiser)
    week = make_task(
        household, "Week", member=organiser, opens=TODAY, closes=TODAY + 3 * DAY, day=None
    )
    ids = [one.pk, week.pk]
    outcome = handing.move_all(
        household=household, task_ids=ids, day=TODAY + DAY, actor=organiser, now=NOW
    )
    assert len(outcome.entries) == 2
    one.refresh_from_db()
    week.refresh_from_db()
    assert (one.opens, one.closes, one.day) == (TODAY + DAY,) * 3
    assert (week.opens, week.closes, week.day) == (TODAY, TODAY + 3 * DAY, TODAY + DAY)
    again = handing.move_all(
        household=household, task_ids=ids, day=TODAY + DAY, actor=organiser, now=NOW
    )
    assert again == handing.Outcome()


def test_a_day_on_which_its_member_is_away_is_refused(household, organiser, member):
    Absence.objects.create(member=member, starts=TODAY + DAY, ends=TODAY + DAY)
    task = make_task(household, "Sweep", member=member)
    outcome = handing.move_all(
        household=household, task_ids=[task.pk], day=TODAY + DAY, actor=organiser, now=NOW
    )
    assert outcome.refused == ["“Sweep” stays. Dev is away tomorrow."]


def test_a_batch_is_taken_back_whole_and_once(household, organiser, member):
    tasks = [make_task(household, f"T{n}", member=organiser) for n in range(3)]
    entries = hand(household, tasks, member, organiser).entries
    for expected in (3, 0):
        back = handing.take_back(household=household, entry_ids=entries, actor=organiser, now=NOW)
        assert (len(back.entries), back.refused) == (expected, [])
    assert who(tasks) == [organiser.pk] * 3
    assert Entry.objects.filter(did=Did.UNDONE).count() == 3


def test_what_was_changed_again_since_is_left_and_named(household, organiser, member):
    third = make_member(household, "Ilse")
    tasks = [make_task(household, f"T{n}", member=organiser) for n in range(2)]
    entries = hand(household, tasks, member, organiser).entries
    ticking.assign(task=Task.objects.get(pk=tasks[0].pk), to=third, actor=organiser, now=NOW + DAY)
    back = handing.take_back(household=household, entry_ids=entries, actor=organiser, now=NOW)
    assert back.refused == ["“T0” stays: it has been changed again since."]
    assert who(tasks) == [third.pk, organiser.pk]


def test_another_homes_entries_cannot_be_taken_back(household, organiser, member):
    tasks = [make_task(household, "T", member=organiser)]
    entries = hand(household, tasks, member, organiser).entries
    other = make_household()
    back = handing.take_back(
        household=other, entry_ids=entries, actor=make_member(other, "Sten"), now=NOW
    )
    assert back == handing.Outcome()
    assert who(tasks) == [member.pk]


@pytest.mark.parametrize("count", [3, 30])
def test_a_batch_asks_no_more_for_thirty_than_for_three(
    household, organiser, member, django_assert_max_num_queries, count
):
    """Reading is the same for any number; each task writes its row, its entry and the counter."""
    tasks = [make_task(household, f"T{n}", member=organiser) for n in range(count)]
    with django_assert_max_num_queries(6 + 3 * count):
        hand(household, tasks, member, organiser)

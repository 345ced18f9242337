"""Paid minutes are not family minutes: what helpers do counts apart, and history says who."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest

from household.chores.estimating import usual_of
from household.chores.history import lines
from household.chores.models import State, Task
from household.chores.queries import task_entries
from household.helpers import doing
from household.helpers.models import ListedTask
from household.kit.dates import DateWords
from household.overview.ledger import ledger
from household.overview.spans import span_of
from household.people.models import Household, Member
from household.people.queries import members_with_absences
from household.week.assembling import problem_of
from household.week.balances import balances
from household.week.queries import read_week
from tests.factories import NOW, TODAY, make_chore, make_task
from tests.helpers.making import make_list

pytestmark = pytest.mark.django_db
LONG_AGO = TODAY - timedelta(weeks=40)


def listed(task: Task) -> ListedTask:
    rows = ListedTask.objects.select_related("task__household", "task__chore", "list__household")
    return rows.get(task=task)


def helper_did(by: Member, minutes: int, *, took: int | None = None, name: str = "Rosa") -> Task:
    task = make_task(by.household, minutes=minutes)
    make_list(by, [task], name=name)
    doing.tick(listed=listed(task), now=NOW, key=None)
    doing.comment(listed=listed(task), words="", minutes=took, now=NOW, key=uuid4())
    task.refresh_from_db()
    return task


def member_did(member: Member, minutes: int, day: date = TODAY) -> None:
    make_task(
        member.household, minutes=minutes, day=day, state=State.DONE, done_on=day, done_by=member
    )


def test_the_ledger_counts_helpers_apart_and_lowers_nobodys_share(
    household: Household, organiser: Member, member: Member
) -> None:
    member_did(organiser, 10, LONG_AGO)
    member_did(organiser, 120)
    member_did(member, 60)
    before = ledger(household, span_of({}, TODAY, 0))
    helper_did(organiser, 60, took=80)
    helper_did(organiser, 120)
    found = ledger(household, span_of({}, TODAY, 0))
    # 180 minutes of the members, agreed one to one: 90 each, with or without the helper's 200.
    assert [(line.done, line.agreed) for line in found.lines] == [(120, 90), (60, 90)]
    assert (found.lines, found.done) == (before.lines, before.done)
    assert found.helped_words() == (
        "Helpers from outside: 3\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}20 (Rosa). "
        "It counts in nobody’s share."
    )
    assert before.helped_words() == ""


def test_two_helpers_are_named_with_their_minutes(household: Household, organiser: Member) -> None:
    helper_did(organiser, 30)
    helper_did(organiser, 45, name="Imre")
    helped = ledger(household, span_of({}, TODAY, 0)).helped
    assert [(each.name, each.minutes) for each in helped] == [("Imre", 45), ("Rosa", 30)]


def test_balances_and_this_weeks_aims_do_not_move(
    household: Household, organiser: Member, member: Member
) -> None:
    member_did(organiser, 40, TODAY - timedelta(days=7))
    member_did(member, 20, TODAY - timedelta(days=7))
    people = tuple(members_with_absences(household))

    def stands() -> tuple[dict[int, int], list[tuple[int, int]]]:
        week = read_week(household, TODAY, TODAY)
        aims = [(each.target, each.balance) for each in problem_of(week).members]
        return balances(household, people, TODAY), aims

    before = stands()
    done = helper_did(organiser, 200)
    Task.objects.filter(pk=done.pk).update(done_on=TODAY - timedelta(days=7))
    helper_did(organiser, 100)
    assert stands() == before


def test_who_comes_to_clean_teaches_no_chore_its_minutes(
    household: Household, organiser: Member
) -> None:
    chore = make_chore(household, "Mop", minutes=30)
    task = chore.tasks.order_by("closes").first()
    assert task is not None
    make_list(organiser, [task])
    doing.tick(listed=listed(task), now=NOW, key=None)
    doing.comment(listed=listed(task), words="", minutes=10, now=NOW, key=uuid4())
    assert usual_of(chore, [organiser], TODAY) is None
    chore.refresh_from_db()
    assert chore.last_done_on == TODAY


def test_history_says_who_from_outside_did_it(household: Household, organiser: Member) -> None:
    task = helper_did(organiser, 60, took=80)
    told = lines(task_entries(task), DateWords(), household.zone, TODAY)
    assert [(line.who, line.what) for line in told] == [
        ("Rosa, from outside", "said it took 80 min"),
        ("Rosa, from outside", "ticked it"),
        ("Marit", "handed it to Rosa, from outside"),
    ]


def test_the_keeper_keeps_it_in_mind_all_the_same(household: Household, organiser: Member) -> None:
    chore = make_chore(household, "Mop", keeper=organiser, keep_minutes=4)
    task = chore.tasks.order_by("closes").first()
    assert task is not None
    make_list(organiser, [task])
    doing.tick(listed=listed(task), now=NOW, key=None)
    [line] = ledger(household, span_of({}, TODAY, 0)).lines
    assert (line.done, line.kept) == (0, 4)

"""A long past is not gone through: not for Today, nor for when an area was last done."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from household.chores.area_facts import last_done
from household.chores.models import State, Task
from household.chores.queries import day_values
from household.people.models import Household
from tests.factories import NOW, TODAY, make_area
from tests.full_home import add_past, full_home

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def plan_of(captured: CaptureQueriesContext) -> str:
    """How SQLite goes about the one statement; empty on a database that knows more of its tables
    and so chooses by their size."""
    [statement] = captured
    if connection.vendor != "sqlite":
        return ""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement['sql']}")
        return "\n".join(row[3] for row in cursor.fetchall())


def test_today_reads_what_is_open_and_what_was_done_today() -> None:
    home = full_home(NOW)
    add_past(home, weeks=8, now=NOW)
    with CaptureQueriesContext(connection) as captured:
        values = day_values(home.household, home.today, home.members)
    assert len(values) == 42, "thirty of one, twelve of the others"
    plan = plan_of(captured)
    if plan:
        assert "task_open_by_household" in plan and "task_done_by_day" in plan
        assert "household_task_household_id" not in plan


def test_when_an_area_was_last_done_is_one_step_each() -> None:
    home = full_home(NOW)
    add_past(home, weeks=8, now=NOW)
    with CaptureQueriesContext(connection) as captured:
        found = last_done(home.household)
    newest = {
        (task.area_id, task.level): task.done_on
        for task in Task.objects.filter(state=State.DONE).order_by("done_on")
    }
    deep = {key: day for key, day in newest.items() if key[1] == "deep"}
    assert deep and {key: found[key] for key in deep} == deep
    plan = plan_of(captured)
    if plan:
        assert plan.count("task_done_by_area") == 3, "one for each level"
        assert "TEMP B-TREE" not in plan


@pytest.mark.parametrize(
    ("done", "reached"),
    [
        ({"deep": 5, "clean": 3}, {"tidy": 3, "clean": 3, "deep": 5}),
        ({"deep": 2, "clean": 9, "tidy": 4}, {"tidy": 2, "clean": 2, "deep": 2}),
        ({"tidy": 1}, {"tidy": 1}),
        ({}, {}),
    ],
)
def test_a_deeper_level_reaches_the_lighter_ones(
    household: Household, done: dict[str, int], reached: dict[str, int]
) -> None:
    """Days ago by level, in; days ago by level, out."""
    area = make_area(household, "Kitchen")
    for level, ago in done.items():
        for days, kind in ((ago, "cleaning"), (ago + 30, "cleaning"), (0, "cooking")):
            day = TODAY - days * DAY
            Task.objects.create(
                household=household,
                name="Wipe",
                area=area,
                level=level,
                kind=kind,
                minutes=5,
                opens=day,
                closes=day,
                state=State.DONE,
                done_on=day,
            )
    assert last_done(household) == {
        (area.pk, level): TODAY - ago * DAY for level, ago in reached.items()
    }

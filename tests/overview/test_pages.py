"""The pages themselves: who may read them, and that they cost the same at 3 rows and at 300."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.chores.models import Chore, Did, Entry, State, Task
from tests.factories import NOW, TODAY, make_area, make_chore, make_task

PAGES = ("overview", "history", "keepers")


def address(household, name):
    return reverse(f"overview:{name}", args=[household.pk])


@pytest.mark.parametrize("name", PAGES)
def test_everybody_of_the_household_may_read(
    household, organiser, member, child, outsider, client_for, name
):
    for person in (organiser, member, child):
        assert client_for(person).get(address(household, name)).status_code == 200
    assert client_for(outsider).get(address(household, name)).status_code == 404


@pytest.mark.parametrize("name", PAGES)
def test_nobody_is_sent_to_sign_in(client, household, name):
    response = client.get(address(household, name))
    assert response.status_code == 302
    assert response.url.startswith("/sign-in/")


def grow(household, organiser, member, count: int) -> None:
    """More of everything that any of the pages lists, the same again for each `count`."""
    area = make_area(household, tidy_days=1)
    base = make_chore(household, keeper=member, area=area)
    fields = {
        field.attname: getattr(base, field.attname)
        for field in Chore._meta.concrete_fields
        if field.name not in ("id", "name")
    }
    chores = Chore.objects.bulk_create(
        Chore(**{**fields, "name": f"Chore {n}"}) for n in range(count)
    )
    tasks = []
    for n, chore in enumerate(chores):
        for step, state in enumerate((State.OPEN, State.DONE, *[State.SKIPPED] * 3)):
            day = TODAY - timedelta(days=1 + n % 40 + step)
            done = {"done_on": day, "done_by": member, "kept_by": organiser, "kept_minutes": 2}
            tasks.append(
                Task(
                    household=household,
                    chore=chore,
                    area=area,
                    occurrence=day,
                    name=chore.name,
                    minutes=1,
                    opens=day,
                    closes=day,
                    state=state,
                    member=[organiser, member, None][n % 3],
                    level=["tidy", "clean", "deep"][n % 3],
                    **(done if state == State.DONE else {}),
                )
            )
    tasks = Task.objects.bulk_create(tasks)
    Entry.objects.bulk_create(
        Entry(
            household=household,
            task=task,
            chore=task.chore,
            area=area,
            actor=member,
            did=Did.TICKED,
            at=NOW,
            before={"state": "open"},
            after={"state": "done"},
        )
        for task in tasks
    )


@pytest.mark.parametrize("name", PAGES)
def test_as_many_queries_for_300_rows_as_for_3(household, organiser, member, client_for, name):
    client = client_for(organiser)
    client.get(address(household, name))  # the session of a fresh sign-in is written once
    counts = []
    for more in (3, 27, 270):
        grow(household, organiser, member, more)
        with CaptureQueriesContext(connection) as caught:
            assert client.get(address(household, name)).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1] == counts[2]
    assert counts[0] <= 22  # five of them look twelve weeks ahead, once after each change


def test_the_table_says_what_the_picture_shows(household, organiser, member, client_for):
    make_task(household, state=State.DONE, minutes=90, done_on=TODAY, done_by=organiser)
    page = client_for(organiser).get(address(household, "overview")).content.decode()
    hour = "1\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}30"
    assert f"Marit: done {hour}, agreed 45\N{NO-BREAK SPACE}min" in page  # the picture's own words
    assert f"<b>{hour}</b>" in page  # and the table's
    assert "Daminger" in page
    assert "Four weeks of ticks are needed. 1 day so far." in page


def test_a_home_just_begun_says_so_and_offers_nothing_to_settle(household, organiser, client_for):
    page = client_for(organiser).get(address(household, "overview")).content.decode()
    assert "Four weeks of ticks are needed. None so far." in page
    assert "What is overdue?" not in page
    assert "No areas are set up yet." in page


def test_other_weeks_are_links_that_keep_their_place(household, organiser, client_for):
    client = client_for(organiser)
    page = client.get(address(household, "overview"), {"weeks": "1", "until": "2026-03-01"})
    text = page.content.decode()
    assert "23 February to 1 March, one week" in text
    assert "?weeks=1&amp;until=2026-02-22" in text
    assert "?weeks=1&amp;until=2026-03-08" in text
    assert "?weeks=12&amp;until=2026-03-01" in text


def test_htmx_gets_the_history_alone(household, organiser, client_for):
    response = client_for(organiser).get(
        address(household, "history"), headers={"HX-Request": "true"}
    )
    assert response.content.decode().lstrip().startswith('<div id="history">')
    assert "HX-Request" in response["Vary"]

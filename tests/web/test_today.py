"""Today and the chore list: what stands where, for whom, and at what cost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.chores.models import Did, Entry, State, Task
from household.people.models import Household, Member
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_chore,
    make_household,
    make_member,
    make_task,
)

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]


def url(household: Household, path: str = "today/") -> str:
    return f"/h/{household.pk}/{path}"


def sections(response: Any) -> dict[str, list[str]]:
    return {s.key: [row.name for row in s.rows] for s in response.context["sections"]}


def test_what_matters_now_comes_first(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    day = timedelta(days=1)
    make_task(household, "Late", member=member, day=TODAY - 2 * day)
    make_task(household, "Now", member=member, day=TODAY)
    make_task(household, "Any", member=member, opens=TODAY, closes=TODAY + day, day=None)
    make_task(household, "Pool")
    make_task(household, "Not yet", member=member, day=TODAY + day)
    response = client_for(member).get(url(household))
    assert sections(response) == {
        "overdue": ["Late"],
        "today": ["Now"],
        "any": ["Any"],
        "pool": ["Pool"],
    }
    assert response.context["minutes_to_go"] == 20


def test_the_pool_shows_only_what_one_may_do(
    household: Household, child: Member, client_for: ClientFor
) -> None:
    make_chore(household, "Gutters", hazards=["ladder"])
    make_chore(household, "Sweep")
    assert sections(client_for(child).get(url(household))) == {"pool": ["Sweep"]}


def test_opening_today_makes_what_is_missing(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    chore = make_chore(household, "Sweep", rule="FREQ=DAILY", who="fixed", fixed=member)
    Task.objects.all().delete()
    chore.refresh_from_db()
    chore.next_due = chore.next_opens = chore.next_closes = TODAY
    chore.save()
    response = client_for(member).get(url(household))
    assert sections(response) == {"today": ["Sweep"]}


def test_an_organiser_is_told_when_the_daily_job_stood_still(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    household.daily_at = NOW - timedelta(hours=27)
    household.daily_on = TODAY - timedelta(days=1)
    household.save()
    assert "has not run" in client_for(organiser).get(url(household)).context["banner"]
    household.daily_at = NOW - timedelta(hours=27)
    household.save()
    assert client_for(member).get(url(household)).context["banner"] == ""


@pytest.mark.parametrize("path", ["today/", "chores/"])
def test_as_many_queries_for_thirty_rows_as_for_three(
    path: str, client_for: ClientFor, now: Any
) -> None:
    def queries(count: int) -> int:
        home = make_household()
        one = make_member(home, role="organiser")
        for n in range(count):
            make_chore(
                home,
                rule="FREQ=DAILY",
                who="fixed" if n % 2 else "turns",
                fixed=one if n % 2 else None,
                may=[one.pk],
                hazards=["blades"],
                area=make_area(home),
            )
        client = client_for(one)
        client.get(url(home, path))
        client.get(url(home, path))
        with CaptureQueriesContext(connection) as captured:
            assert client.get(url(home, path)).status_code == 200
        return len(captured)

    few = queries(3)
    assert few == queries(30)
    if path == "today/":
        assert few <= 6


def test_a_tick_with_a_moment_and_a_key_is_kept_once(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    task = make_task(household, "Now", member=member)
    sent = {
        "tick_id": "0b0c3f7e-2a53-4a53-9a4d-1d6d7d1b2c3d",
        "done_at": (NOW - timedelta(hours=3)).isoformat(),
    }
    for _ in range(2):
        answer = client_for(member).post(url(household, f"tasks/{task.pk}/tick/"), sent)
        assert answer.status_code == 302
    task.refresh_from_db()
    assert (task.state, task.done_at) == (State.DONE, NOW - timedelta(hours=3))
    assert Entry.objects.filter(task=task, did=Did.TICKED).count() == 1


def test_nothing_is_ticked_by_get(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    task = make_task(household, "Now", member=member)
    assert client_for(member).get(url(household, f"tasks/{task.pk}/tick/")).status_code == 405
    task.refresh_from_db()
    assert task.state == State.OPEN


def test_another_homes_task_is_not_there(
    household: Household, member: Member, outsider: Member, client_for: ClientFor
) -> None:
    task = make_task(outsider.household, "Theirs")
    client = client_for(member)
    for path in ("", "tick/", "undo/", "take/"):
        for home in (household, outsider.household):
            address = f"/h/{home.pk}/tasks/{task.pk}/{path}"
            answer = client.post(address) if path else client.get(address)
            assert answer.status_code == 404, address


def test_a_refusal_says_why(
    household: Household, organiser: Member, child: Member, client_for: ClientFor
) -> None:
    chore = make_chore(household, "Gutters", hazards=["ladder"])
    task = chore.tasks.first()
    assert task is not None
    answer = client_for(organiser).post(
        url(household, f"tasks/{task.pk}/hand/"), {"member": child.pk}
    )
    assert answer.status_code == 422
    assert "because of the ladder" in answer.content.decode()

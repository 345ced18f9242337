"""The organiser's pages: making a list step by step, its address, what came of it, house notes."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from household.chores.models import State, Task
from household.helpers import actions, doing
from household.helpers.models import HelperList, HouseNote, ListedTask
from household.people.models import Household, Member
from tests.factories import NOW, TODAY, make_area, make_task
from tests.helpers.making import make_list, make_note
from tests.requests.making import make_outsider

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return html.unescape(answer.content.decode())


@pytest.fixture
def client(organiser: Member, client_for: Callable[[Member], Client]) -> Client:
    return client_for(organiser)


@pytest.fixture
def base(household: Household) -> str:
    return f"/h/{household.pk}/helpers/"


def said(**fields: Any) -> dict[str, Any]:
    day = TODAY.isoformat()
    usual = {"name": "Rosa", "age_band": "adult", "starts": day, "ends": day, "key": str(uuid4())}
    return {**usual, **fields}


def address_in(answer: Any) -> str:
    found = re.search(r"/help/[A-Za-z0-9_-]{43}/", text(answer))
    assert found is not None
    return found[0]


def test_from_nothing_to_an_address_that_answers(
    client: Client, base: str, household: Household
) -> None:
    area = make_area(household, "Hall")
    in_hall = make_task(household, "Mop the hall", area=area)
    other = make_task(household, "Air the rooms")
    step = client.post(f"{base}new/", said(word="Tea is in the tin"))
    made = HelperList.objects.get()
    assert step["Location"] == f"{base}{made.pk}/tasks/"
    page = client.get(step["Location"])
    assert "Mop the hall" in text(page) and "Make the address" in text(page)
    group = f"area-{area.position:04}-{area.pk}"
    answer = client.post(step["Location"], {"groups": group})
    assert answer["Cache-Control"].startswith("max-age=0, no-cache, no-store")
    shown = text(Client().get(address_in(answer)))
    assert "Mop the hall" in shown and "Tea is in the tin" in shown and "Air the rooms" not in shown
    for each in (in_hall, other):
        each.refresh_from_db()
    assert (in_hall.helper, other.helper) == ("Rosa", "")
    again = client.post(step["Location"], {"tasks": [in_hall.pk, other.pk]})
    assert again.status_code == 302 and "/help/" not in text(client.get(again["Location"]))


def test_a_whole_day_is_chosen_with_one_box(
    client: Client, base: str, organiser: Member, household: Household
) -> None:
    tomorrow = TODAY + timedelta(days=1)
    wanted = [make_task(household, day=tomorrow) for _ in range(2)]
    make_task(household, "Today")
    made, _ = make_list(organiser, ends=tomorrow)
    client.post(f"{base}{made.pk}/tasks/?by=day", {"groups": f"day-{tomorrow.isoformat()}"})
    assert set(Task.objects.filter(helper="Rosa")) == set(wanted)


def test_somebody_of_the_people_outside(client: Client, base: str, household: Household) -> None:
    imre = make_outsider(household)
    client.post(f"{base}new/", said(name="", outsider=imre.pk))
    made = HelperList.objects.get()
    assert (made.name, made.outsider) == ("Imre Volk", imre)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "Type a name"),
        ({"ends": "2026-03-11"}, "The last day is before the first one."),
        ({"starts": "2026-03-01", "ends": "2026-03-11"}, "Those days are over."),
        ({"ends": "2026-04-13"}, "31 days at most"),
        ({"starts": "soon"}, "Write the day as year-month-day"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    client: Client, base: str, wrong: dict[str, str], words: str
) -> None:
    answer = client.post(f"{base}new/", said(**wrong))
    assert answer.status_code == 422 and words in text(answer)
    assert not HelperList.objects.exists()


def test_another_homes_people_and_notes_cannot_be_chosen(
    client: Client, base: str, outsider: Member
) -> None:
    stranger, note = make_outsider(outsider.household), make_note(outsider.household)
    for fields in ({"outsider": stranger.pk}, {"notes": [note.pk]}):
        answer = client.post(f"{base}new/", said(**fields))
        assert answer.status_code in (302, 422)
    assert not HelperList.objects.exclude(outsider=None).exists()
    assert not HelperList.objects.filter(notes=note).exists()


def test_what_is_for_licensed_people_is_not_offered_and_says_why(
    client: Client, base: str, organiser: Member, household: Household
) -> None:
    make_task(household, "The boiler", limits={"dangers": ["gas"]})
    made, _ = make_list(organiser)
    page = text(client.get(f"{base}{made.pk}/tasks/"))
    assert "Not for a helper: 1" in page and "Gas is for a licensed person." in page
    assert 'name="tasks"' not in page


def test_the_list_says_what_came_of_it(
    client: Client, base: str, organiser: Member, household: Household
) -> None:
    tasks = [make_task(household, "Mop", minutes=25), make_task(household, "Sweep")]
    made, token = make_list(organiser, tasks)
    page = text(client.get(f"{base}{made.pk}/"))
    assert "0 of 2 done" in page and "Not opened yet" in page
    Client().get(f"/help/{token}/")
    row = ListedTask.objects.select_related("list__household").get(task=tasks[0])
    doing.tick(listed=row, now=NOW, key=None)
    row = ListedTask.objects.select_related("list__household").get(task=tasks[0])
    doing.comment(listed=row, words="The mop is worn.", minutes=40, now=NOW, key=uuid4())
    page = text(client.get(f"{base}{made.pk}/"))
    for words in ("1 of 2 done, 40 min by the helper", "Last opened: 09:00", "The mop is worn."):
        assert words in page.replace("\N{NO-BREAK SPACE}", " ")
    notice = text(client.get(f"/h/{household.pk}/today/"))
    assert "Rosa, from outside, on “Mop”: The mop is worn." in notice


def test_stopping_and_letting_it_answer_again(
    client: Client, base: str, organiser: Member, household: Household
) -> None:
    task = make_task(household, "Mop")
    made, token = make_list(organiser, [task])
    client.post(f"{base}{made.pk}/stop/")
    assert "Let it answer again" in text(client.get(f"{base}{made.pk}/"))
    assert Client().get(f"/help/{token}/").status_code == 404
    client.post(f"{base}{made.pk}/start/")
    assert "Mop" in text(Client().get(f"/help/{token}/"))


def test_a_new_address_ends_the_old_one(client: Client, base: str, organiser: Member) -> None:
    made, token = make_list(organiser)
    standing = {"standing": actions.mark_of(made)}
    answer = client.post(f"{base}{made.pk}/address/", standing)
    assert Client().get(address_in(answer)).status_code == 200
    assert Client().get(f"/help/{token}/").status_code == 404
    assert client.post(f"{base}{made.pk}/address/", standing).status_code == 409


def test_an_ended_list_can_be_given_other_days(
    client: Client, base: str, organiser: Member
) -> None:
    made, token = make_list(organiser)
    HelperList.objects.filter(pk=made.pk).update(starts="2026-03-10", ends="2026-03-11")
    assert Client().get(f"/help/{token}/").status_code == 404
    assert "Over since yesterday" in text(client.get(base))
    client.post(f"{base}{made.pk}/change/", said())
    assert Client().get(f"/help/{token}/").status_code == 200


def test_a_helpers_task_says_so_at_home(
    client: Client, organiser: Member, household: Household
) -> None:
    task = make_task(household, "Mop")
    make_list(organiser, [task])
    page = text(client.get(f"/h/{household.pk}/tasks/{task.pk}/"))
    assert "Rosa, from outside" in page and ">Take<" not in page
    week = text(client.get(f"/h/{household.pk}/week/2026-03-09/"))
    assert "on the list of Rosa, from outside" in week
    assert task.state == State.OPEN


def test_house_notes_are_read_by_all_and_written_by_organisers(
    client: Client, base: str, child: Member, client_for: Callable[[Member], Client]
) -> None:
    client.post(f"{base}notes/new/", {"title": "The alarm", "words": "Code 1"})
    note = HouseNote.objects.get()
    client.post(f"{base}notes/{note.pk}/", {"title": "The alarm", "words": "Code 2"})
    page = text(client_for(child).get(f"{base}notes/"))
    assert "Code 2" in page and "notes/new/" not in page and f"notes/{note.pk}/" not in page
    client.post(f"{base}notes/{note.pk}/archive/")
    assert "Code 2" not in text(client_for(child).get(f"{base}notes/"))
    client.post(f"{base}notes/{note.pk}/restore/")
    assert "Code 2" in text(client_for(child).get(f"{base}notes/"))


@pytest.mark.parametrize("rest", ["", "tasks/", "tasks/?by=day"])
def test_as_many_queries_for_thirty_tasks_as_for_three(
    rest: str,
    client: Client,
    base: str,
    organiser: Member,
    household: Household,
    django_assert_max_num_queries: Any,
) -> None:
    made, _ = make_list(organiser)
    counts = []
    for many in (3, 27):
        more = [make_task(household, area=make_area(household)) for _ in range(many)]
        on = [*Task.objects.filter(helper="Rosa"), *more]
        ids = [task.pk for task in on]
        actions.choose_tasks(helper_list=made, task_ids=ids, by=organiser, now=NOW)
        client.get(f"{base}{made.pk}/{rest}")
        with django_assert_max_num_queries(8) as caught:
            client.get(f"{base}{made.pk}/{rest}")
        counts.append(len(caught))
    assert counts[0] == counts[1]

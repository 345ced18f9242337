"""The shared screen: what it shows, who it lets act, and what it refuses."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client

from household.chores.models import Did, Entry, State, Task
from household.devices.actions import make_code
from household.devices.models import Device
from household.people.models import Household, Member
from tests.factories import NOW, TODAY, make_area, make_chore, make_household, make_task

pytestmark = pytest.mark.django_db


@pytest.fixture
def screen(household: Household, organiser: Member) -> Client:
    """A tablet that was paired by an organiser's code."""
    _, secret = make_code(
        household=household, by=organiser, now=NOW, member=None, label="Kitchen screen"
    )
    client = Client()
    answer = client.post(f"/in/{secret.link}/")
    assert answer["Location"] == f"/h/{household.pk}/board/"
    return client


def board(household: Household, rest: str = "") -> str:
    return f"/h/{household.pk}/board/{rest}"


def text(answer: Any) -> str:
    page: str = answer.content.decode()
    return page


def touch(client: Client, task: Task, does: str, member: Member | None, **more: Any) -> Any:
    sent = {"member": member.pk, **more} if member else more
    return client.post(f"/h/{task.household_id}/board/tasks/{task.pk}/{does}/", sent)


def test_pairing_is_asked_first_and_told_to_organisers(
    household: Household, organiser: Member, now: datetime
) -> None:
    _, secret = make_code(household=household, by=organiser, now=now, member=None, label="Hall")
    page = text(Client().get(f"/in/{secret.link}/"))
    assert "Yes, this is the screen" in page and "Hall" in page
    assert not Device.objects.exists()
    assert Client().post(f"/in/{secret.link}/").status_code == 302
    device = Device.objects.get()
    assert (device.is_shared, device.member, device.label) == (True, None, "Hall")
    assert organiser.notices.get().device == device
    assert Client().post(f"/in/{secret.link}/").status_code == 404


def test_it_shows_everybodys_day_with_the_clock(
    screen: Client, household: Household, member: Member, child: Member
) -> None:
    make_task(household, "Lay the table", member=child, time=time(18, 15))
    make_task(household, "Sweep", member=member)
    make_task(household, "Glass to the bank")
    make_task(
        household, "Wash the car", opens=TODAY, closes=TODAY + timedelta(3), day=None, member=member
    )
    make_task(household, "Next week", opens=TODAY + timedelta(8), closes=TODAY + timedelta(8))
    page = text(screen.get(board(household)))
    assert all(words in page for words in ("Lay the table", "Sweep", "Glass to the bank"))
    assert "Next, by 18:15" in page and "by Sunday" in page
    assert "Thursday 12 March" in page and "09:00" in page and "Europe/Dublin" in page
    assert "Next week" not in page
    assert "<nav" not in page


def test_what_comes_next_follows_the_clock(
    screen: Client, household: Household, member: Member
) -> None:
    make_task(household, "Feed the cat", member=member, time=time(8, 0))
    make_task(household, "Cook", member=member, time=time(17, 30))
    assert "Next, by 17:30" in text(screen.get(board(household)))
    with time_machine.travel(NOW + timedelta(hours=9), tick=False):
        page = text(screen.get(board(household)))
    assert "Next, by" not in page and "2 to do" in page


def test_tick_asks_who_and_is_written_under_that_name_with_the_screen(
    screen: Client, household: Household, member: Member, child: Member
) -> None:
    task = make_task(household, "Lay the table", member=child)
    page = text(screen.get(board(household, f"tasks/{task.pk}/")))
    assert "Who did it?" in page and "checked" not in page
    answer = touch(screen, task, "tick", member)
    assert answer["Location"] == board(household, f"?done={task.pk}")
    task.refresh_from_db()
    assert (task.state, task.done_by) == (State.DONE, member)
    entry = Entry.objects.get(task=task)
    assert (entry.actor, entry.did, entry.device) == (member, Did.TICKED, Device.objects.get())
    phone = Client()
    phone.force_login(member.account)  # type: ignore[arg-type]
    history = text(phone.get(f"/h/{household.pk}/tasks/{task.pk}/"))
    assert "ticked it on “Kitchen screen”" in history


def test_sent_twice_is_kept_once(screen: Client, household: Household, member: Member) -> None:
    task = make_task(household, "Sweep", member=member)
    key = "7b0c8d3e-53b3-4f0e-9d0e-0f8f6f4f7a11"
    for _ in range(2):
        touch(screen, task, "tick", member, tick_id=key)
    assert Entry.objects.filter(task=task).count() == 1


def test_undo_is_offered_for_a_moment_and_afterwards_asks_who(
    screen: Client, household: Household, member: Member, child: Member
) -> None:
    task = make_task(household, "Sweep", member=member)
    address = touch(screen, task, "tick", member)["Location"]
    page = text(screen.get(address))
    assert 'data-seconds="10"' in page and "done by Dev" in page
    assert 'data-seconds="10"' not in text(screen.get(board(household)))
    assert "Who says so?" in text(screen.get(board(household, f"tasks/{task.pk}/")))
    for _ in range(2):
        touch(screen, task, "undo", child)
    task.refresh_from_db()
    assert task.state == State.OPEN
    assert Entry.objects.get(task=task, did=Did.UNDONE).actor == child


def test_nobody_touched_and_nobody_elses_member_are_refused(
    screen: Client, household: Household, member: Member, outsider: Member
) -> None:
    task = make_task(household, "Sweep", member=member)
    answer = touch(screen, task, "tick", None)
    assert answer.status_code == 422 and "Touch a mark" in text(answer)
    assert touch(screen, task, "tick", outsider).status_code == 404
    for odd in ("x", "9" * 40, "-1", "1,2"):
        answer = screen.post(board(household, f"tasks/{task.pk}/tick/"), {"member": odd})
        assert answer.status_code in (404, 422)
    task.refresh_from_db()
    assert task.state == State.OPEN


def test_hard_limits_hold_and_are_explained(
    screen: Client, household: Household, member: Member, child: Member
) -> None:
    chore = make_chore(household, "Mow the lawn", area=make_area(household), min_age="12_15")
    task = chore.tasks.order_by("closes")[0]
    answer = touch(screen, task, "tick", child)
    assert answer.status_code == 422
    assert 'role="alert"' in text(answer) and "Oona" in text(answer)
    task.refresh_from_db()
    assert task.state == State.OPEN
    assert touch(screen, task, "tick", member).status_code == 302


def test_pool_is_taken_on_or_ticked_at_once(
    screen: Client, household: Household, member: Member, child: Member
) -> None:
    task = make_task(household, "Glass to the bank")
    page = text(screen.get(board(household, f"tasks/{task.pk}/?take")))
    assert "Who takes it on?" in page and "It is done already" in page
    assert touch(screen, task, "take", child)["Location"] == board(household)
    task.refresh_from_db()
    assert (task.member, task.state) == (child, State.OPEN)
    answer = touch(screen, task, "take", member)
    assert answer.status_code == 422 and "Oona has taken" in text(answer)


def test_asking_again_hears_304_until_something_changes(
    screen: Client, household: Household, member: Member, django_assert_num_queries: Any
) -> None:
    task = make_task(household, "Sweep", member=member)
    first = screen.get(board(household), headers={"hx-request": "true"})
    assert first.status_code == 200 and "<html" not in text(first)
    again = {"hx-request": "true", "if-none-match": first["ETag"]}
    with django_assert_num_queries(2):  # the session, the device with its household
        assert screen.get(board(household), headers=again).status_code == 304
    touch(screen, task, "tick", member)
    assert screen.get(board(household), headers=again).status_code == 200
    later = screen.get(board(household), headers={"hx-request": "true"})
    again = {"hx-request": "true", "if-none-match": later["ETag"]}
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert screen.get(board(household), headers=again).status_code == 200


@pytest.mark.parametrize("rest", ["", "week/"])
def test_as_many_queries_for_thirty_tasks_as_for_three(
    rest: str,
    screen: Client,
    household: Household,
    member: Member,
    django_assert_max_num_queries: Any,
) -> None:
    counts = []
    for number in (3, 27):
        for _ in range(number):
            make_task(household, member=member)
            make_task(household)
        screen.get(board(household, rest))
        with django_assert_max_num_queries(6) as queries:
            screen.get(board(household, rest))
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_week_lists_seven_days_and_what_may_be_any_day(
    screen: Client, household: Household, member: Member
) -> None:
    for days, name in ((0, "Sweep"), (6, "Windows"), (7, "Too far")):
        day = TODAY + timedelta(days)
        make_task(household, name, opens=day, closes=day, day=day, member=member)
    make_task(household, "Any time", opens=TODAY, closes=TODAY + timedelta(3), day=None)
    page = text(screen.get(board(household, "week/")))
    assert all(name in page for name in ("Sweep", "Windows", "Any time", "Wednesday 18 March"))
    assert "Too far" not in page


def test_screen_of_one_home_shows_no_other(screen: Client, outsider: Member) -> None:
    assert screen.get(f"/h/{outsider.household_id}/board/").status_code == 404
    other = make_household(name="Third")
    assert screen.get(f"/h/{other.pk}/today/").status_code == 404


def test_the_front_door_leads_a_screen_to_its_board(screen: Client, household: Household) -> None:
    assert screen.get("/")["Location"] == board(household)


def test_switched_off_screen_shows_nothing(
    screen: Client, household: Household, organiser: Member
) -> None:
    laptop = Client()
    laptop.force_login(organiser.account)  # type: ignore[arg-type]
    device = Device.objects.get()
    laptop.post(f"/h/{household.pk}/devices/{device.pk}/off/")
    answer = screen.get(board(household))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")


def test_signing_in_on_a_screen_ends_its_being_one(
    screen: Client, household: Household, member: Member
) -> None:
    screen.post("/sign-in/", {"username": "dev", "password": "larch-and-rowan-26"})
    assert screen.get(f"/h/{household.pk}/today/").status_code == 200
    assert screen.get(board(household)).status_code == 404
    assert Device.objects.get(kind="shared").session_key == ""

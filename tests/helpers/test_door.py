"""A helper's address: what it shows and what not, ticking, comments, when it is shut."""

from __future__ import annotations

import html
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.test import Client

from household.chores.models import State, Task
from household.devices.models import Notice, Tries
from household.helpers import actions, limiting
from household.helpers.models import Comment, HelperList
from household.kit.masking import masked
from household.kit.secret_address import hash_of
from household.people.models import Household, Member
from tests.factories import NOW, TODAY, make_area, make_chore, make_task
from tests.helpers.making import make_list, make_note

pytestmark = pytest.mark.django_db
METHODS = ("get", "head", "post", "put", "patch", "delete", "options")


def text(answer: Any) -> str:
    return html.unescape(answer.content.decode())


@pytest.fixture
def task(household: Household, organiser: Member, member: Member) -> Task:
    area = make_area(household, "Hall")
    return make_task(household, "Mop the floor", area=area, minutes=25, level="deep", member=member)


@pytest.fixture
def given(organiser: Member, task: Task) -> tuple[HelperList, str]:
    return make_list(organiser, [task], ends=TODAY + timedelta(days=2))


@pytest.fixture
def door(given: tuple[HelperList, str]) -> str:
    return f"/help/{given[1]}/"


def send(door: str, task: Task, does: str, client: Client | None = None, **body: Any) -> Any:
    return (client or Client()).post(f"{door}{task.pk}/{does}/", body)


def test_it_shows_what_where_how_thoroughly_and_how_long(door: str) -> None:
    page = text(Client().get(door))
    for words in ("For Rosa", "12 to 14 March", "Mop the floor", "Hall, Deep clean", ">25<"):
        assert words in page


def test_it_shows_nothing_else_of_the_household(
    household: Household, organiser: Member, member: Member, child: Member, door: str
) -> None:
    make_task(household, "Pay the rent", member=organiser)
    make_note(household, "The safe", "4711")
    page = text(Client().get(door))
    hidden = [household.name, "Pay the rent", "The safe", "4711", "/h/"]
    for words in (*hidden, *(each.name for each in (organiser, member, child))):
        assert words not in page, words


def test_whoever_is_signed_in_there_too_loses_no_message(
    organiser: Member, door: str, client_for: Callable[[Member], Client]
) -> None:
    client = client_for(organiser)
    home = f"/h/{organiser.household_id}/helpers/"
    client.post(f"{home}notes/new/", {"title": "The bins", "words": "On Tuesdays"})
    assert "The bins" not in text(client.get(door))
    assert "“The bins” is kept." in text(client.get(home))


def test_cautions_always_show(household: Household, organiser: Member) -> None:
    chore = make_chore(household, "Scrub", hazards=["bleach_or_disinfectant"], how_to="With care.")
    task = chore.tasks.order_by("closes").first()
    assert task is not None
    _, token = make_list(organiser, [task], show_how=False)
    page = text(Client().get(f"/help/{token}/"))
    assert 'class="caution"' in page and "With care." not in page
    _, token = make_list(organiser, [make_task(household)], name="Imre")
    assert 'class="caution"' not in text(Client().get(f"/help/{token}/"))


def test_the_notes_that_the_organiser_allows(household: Household, organiser: Member) -> None:
    allowed, put_away = make_note(household), make_note(household, "The attic", "Mind your head")
    make_note(household, "The safe", "4711")
    _, token = make_list(organiser, notes=[allowed, put_away])
    actions.archive_note(note=put_away, now=NOW)
    page = text(Client().get(f"/help/{token}/"))
    assert "The alarm" in page and "Code 1" in page
    assert "The attic" not in page and "The safe" not in page


def test_nothing_leaks_the_address(given: tuple[HelperList, str], door: str) -> None:
    answer = Client().get(door)
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["Cache-Control"] == "no-store, private"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert "sessionid" not in answer.cookies and "evenhouse_session" not in answer.cookies
    row = HelperList.objects.values().get(pk=given[0].pk)
    assert given[1] not in str(row) and row["token_hash"] == hash_of(given[1])
    assert masked(f"GET {door} 200") == "GET /help/…/ 200"


def test_ticking_counts_for_the_helper_and_once(door: str, task: Task) -> None:
    key = str(uuid4())
    for _ in range(2):
        answer = send(door, task, "tick", tick_id=key)
        assert answer.status_code == 302
        assert answer["Location"] == f"{door}#task-{task.pk}"
    task.refresh_from_db()
    assert (task.state, task.done_by, task.helper) == (State.DONE, None, "Rosa")
    assert task.entries.filter(did="ticked").count() == 1
    assert task.entries.get(did="ticked").helper == "Rosa"


def test_its_own_tick_can_be_taken_back(door: str, task: Task) -> None:
    send(door, task, "tick")
    assert send(door, task, "undo").status_code == 302
    task.refresh_from_db()
    assert (task.state, task.helper) == (State.OPEN, "Rosa")
    assert task.entries.get(did="undone").helper == "Rosa"


def test_what_somebody_at_home_did_is_done_already(
    door: str, task: Task, member: Member, client_for: Callable[[Member], Client]
) -> None:
    client_for(member).post(f"/h/{member.household_id}/tasks/{task.pk}/tick/")
    task.refresh_from_db()
    assert (task.state, task.done_by) == (State.DONE, member)
    page = text(Client().get(door))
    assert "Done already" in page and f"undo-{task.pk}" not in page
    send(door, task, "undo")
    task.refresh_from_db()
    assert (task.state, task.done_by) == (State.DONE, member)


def test_a_task_of_no_list_or_another_list_is_not_there(
    household: Household, organiser: Member, door: str, task: Task
) -> None:
    other, elsewhere = make_task(household, "Rent"), make_task(household, "Lawn")
    make_list(organiser, [elsewhere], name="Imre")
    for each in (other, elsewhere):
        for does in ("tick", "undo", "say"):
            assert send(door, each, does, words="Hello").status_code == 404
        each.refresh_from_db()
        assert each.state == State.OPEN
    assert not Comment.objects.exists()


def test_a_comment_is_told_to_organisers_and_kept_once(
    household: Household, organiser: Member, member: Member, given: Any, door: str, task: Task
) -> None:
    key = str(uuid4())
    for _ in range(2):
        assert send(door, task, "say", words=" The mop is worn out. ", key=key).status_code == 302
    send(door, task, "say", words="And the bucket leaks.")
    assert [each.words for each in Comment.objects.all()] == [
        "The mop is worn out.",
        "And the bucket leaks.",
    ]
    notice = Notice.objects.get()
    assert (notice.to, notice.path) == (organiser, f"helpers/{given[0].pk}/")
    assert notice.words == "Rosa, from outside, on “Mop the floor”: The mop is worn out."


def test_how_long_it_took(door: str, task: Task) -> None:
    send(door, task, "say", minutes="40")  # not done yet: nothing to measure
    send(door, task, "tick")
    send(door, task, "say", minutes="40")
    send(door, task, "say", minutes="40")
    task.refresh_from_db()
    assert task.minutes_taken == 40
    assert task.entries.filter(did="measured", helper="Rosa").count() == 1
    assert not Comment.objects.exists()


@pytest.mark.parametrize(
    "body", [{"minutes": "soon"}, {"minutes": "0"}, {"words": "x" * 501}, {"minutes": "601"}]
)
def test_what_makes_no_sense_is_said_with_the_list_still_there(
    door: str, task: Task, body: dict[str, str]
) -> None:
    answer = send(door, task, "say", **body)
    assert answer.status_code == 422
    assert "Type the minutes as a number" in text(answer) and "Mop the floor" in text(answer)


def test_before_its_days_it_is_read_and_not_ticked(household: Household, organiser: Member) -> None:
    tomorrow = TODAY + timedelta(days=1)
    task = make_task(household, "Mop", day=tomorrow)
    _, token = make_list(organiser, [task], starts=tomorrow, ends=tomorrow)
    door = f"/help/{token}/"
    page = text(Client().get(door))
    assert "Mop" in page and "You can tick from Friday 13 March on." in page
    assert 'class="tick"' not in page
    answer = send(door, task, "tick")
    assert answer.status_code == 422 and "begin on Friday 13 March" in text(answer)
    task.refresh_from_db()
    assert task.state == State.OPEN


def shut_by_stopping(row: HelperList, by: Member) -> None:
    actions.stop_list(helper_list=row, by=by, now=NOW)


def shut_by_a_new_address(row: HelperList, by: Member) -> None:
    actions.new_address(helper_list=row, standing=actions.mark_of(row), now=NOW)


@pytest.mark.parametrize("shut", [shut_by_stopping, shut_by_a_new_address])
@pytest.mark.parametrize("method", METHODS)
def test_a_revoked_address_answers_404_to_everything(
    shut: Any, method: str, given: Any, door: str, task: Task, organiser: Member
) -> None:
    shut(given[0], organiser)
    for path in ("", f"{task.pk}/tick/", f"{task.pk}/undo/", f"{task.pk}/say/"):
        assert getattr(Client(), method)(f"{door}{path}").status_code == 404
    task.refresh_from_db()
    assert task.state == State.OPEN


@pytest.mark.parametrize("method", METHODS)
def test_an_expired_address_answers_404_to_everything(method: str, door: str, task: Task) -> None:
    last = NOW + timedelta(days=2)
    with time_machine.travel(last, tick=False):
        assert Client().get(door).status_code == 200
    with time_machine.travel(last + timedelta(days=1), tick=False):
        for path in ("", f"{task.pk}/tick/", f"{task.pk}/undo/", f"{task.pk}/say/"):
            assert getattr(Client(), method)(f"{door}{path}").status_code == 404


def test_it_expires_at_the_households_own_midnight(organiser: Member) -> None:
    """Dublin is an hour ahead of UTC from 29 March 2026 on (tz database)."""
    night = NOW.replace(month=3, day=31, hour=22, minute=30)
    with time_machine.travel(night, tick=False):
        _, token = make_list(organiser, starts=night.date(), ends=night.date(), now=night)
        assert Client().get(f"/help/{token}/").status_code == 200
    with time_machine.travel(night + timedelta(hours=1), tick=False):
        assert Client().get(f"/help/{token}/").status_code == 404


def test_methods_that_nothing_answers_to(door: str, task: Task) -> None:
    for method in ("put", "patch", "delete"):
        assert getattr(Client(), method)(door).status_code == 405
    assert Client().get(f"{door}{task.pk}/tick/").status_code == 405
    task.refresh_from_db()
    assert task.state == State.OPEN


def test_a_form_needs_its_token_even_where_the_origin_is_hidden(door: str, task: Task) -> None:
    """A page without a referrer makes browsers send "Origin: null" (Fetch standard)."""
    client = Client(enforce_csrf_checks=True)
    page = client.get(door)
    hidden = {"origin": "null"}
    path = f"{door}{task.pk}/tick/"
    assert client.post(path, {}, headers=hidden).status_code == 403
    secret = client.cookies["csrftoken"].value
    stranger = {"origin": "https://elsewhere.example"}
    body = {"csrfmiddlewaretoken": secret}
    assert client.post(path, body, headers=stranger).status_code == 403
    assert client.post(path, body, headers=hidden, secure=True).status_code == 302
    assert page.status_code == 200
    task.refresh_from_db()
    assert task.state == State.DONE


def test_one_device_that_floods_waits_and_shuts_nobody_out(
    door: str, task: Task, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limiting, "FREE_DEVICE", 5)
    flood, other = Client(headers={"user-agent": "one"}), Client(headers={"user-agent": "two"})
    told = [send(door, task, "tick", flood).status_code for _ in range(12)]
    assert told[:6] == [302] * 6 and told[6:] == [429] * 6
    refused = send(door, task, "undo", flood)
    assert refused["Retry-After"] == "1" and "Wait 1 second" in text(refused)
    assert send(door, task, "undo", other).status_code == 302
    assert flood.get(door).status_code == 200  # reading goes on
    with time_machine.travel(NOW + timedelta(seconds=2), tick=False):
        assert send(door, task, "tick", flood).status_code == 302
        assert send(door, task, "tick", flood).status_code == 429  # for twice as long
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert send(door, task, "undo", flood).status_code == 302  # a new day


def test_looking_is_limited_for_each_device(door: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limiting, "LOOKS", 3)
    one, two = Client(headers={"user-agent": "one"}), Client(headers={"user-agent": "two"})
    assert [one.get(door).status_code for _ in range(4)] == [200, 200, 200, 429]
    assert two.get(door).status_code == 200


def test_guessing_costs_growing_waits_and_never_those_with_an_address(door: str) -> None:
    told = [Client().get(f"/help/{number:043}/").status_code for number in range(30)]
    assert told[: limiting.FREE_WRONG] == [404] * limiting.FREE_WRONG
    assert told[-1] == 429
    assert Client().get(door).status_code == 200
    assert Client(REMOTE_ADDR="192.0.2.7").get(f"/help/{'x' * 43}/").status_code == 404
    assert all("192.0.2" not in row.target for row in Tries.objects.all())


def test_as_many_queries_for_thirty_tasks_as_for_three(
    household: Household, organiser: Member, django_assert_max_num_queries: Any
) -> None:
    tasks = [make_task(household, area=make_area(household)) for _ in range(30)]
    counts = []
    for many in (3, 30):
        made, token = make_list(organiser, tasks[:many], notes=[make_note(household)])
        for task in tasks[:many]:
            Comment.objects.create(list=made, task=task, words="Done", at=NOW, key=uuid4())
        Client().get(f"/help/{token}/")  # which notes when it was opened
        with django_assert_max_num_queries(4) as caught:
            Client().get(f"/help/{token}/")
        counts.append(len(caught))
        actions.stop_list(helper_list=made, by=organiser, now=NOW)
    assert counts[0] == counts[1]

"""The short path: members, areas, chores. Each step can be skipped, repeated and gone back to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.areas.models import Area
from household.chores.eligibility import may_do
from household.chores.models import Chore, Did, Entry, Task, Who
from household.people.models import Household, Member, Role
from household.start import starter
from household.start.actions import NewArea, Newcomer, add_areas, add_people
from household.start.forms import area_names
from household.start.offers import FILL, Offer, offers
from household.start.queries import free_together, living_here
from tests.factories import NOW, TODAY, make_area, make_chore, make_member

SignedIn = Callable[[Member], Client]
HOME = ("kitchen", "living_room", "bathroom", "bedroom", "child_bedroom", "whole_home")


def url(step: str, household: Household) -> str:
    return reverse(f"start:{step}", args=[household.pk])


@pytest.fixture
def planner(organiser: Member, client_for: SignedIn) -> Client:
    return client_for(organiser)


@pytest.fixture
def home(household: Household, organiser: Member) -> Household:
    """Two grown-ups, a child of 8 to 11, and six areas."""
    newcomers = [Newcomer("Dev", "adult"), Newcomer("Ilo", "8_11")]
    add_people(household=household, newcomers=newcomers, now=NOW)
    kinds = starter.area_kinds()
    rooms = [NewArea(kinds[kind].name, kinds[kind]) for kind in HOME if kind != "child_bedroom"]
    rooms.insert(4, NewArea("Ilo’s room", kinds["child_bedroom"]))
    add_areas(household=household, wanted=rooms)
    return household


def people_sent(*rows: tuple[str, str, str], **more: str) -> dict[str, str]:
    sent = {"rows": "5", **more}
    for number, (name, age, role) in enumerate(rows, start=1):
        sent |= {f"name_{number}": name, f"age_{number}": age, f"role_{number}": role}
    return sent


def chores_sent(found: list[Offer], **changes: str) -> dict[str, str]:
    """What the page sends when nothing is touched."""
    sent: dict[str, str] = {}
    for offer in found:
        if offer.ticked:
            sent[f"on_{offer.key}"] = "on"
        sent |= {
            f"name_{offer.key}": offer.common.name,
            f"minutes_{offer.key}": str(offer.common.minutes),
            f"who_{offer.key}": offer.who_choices[0][0],
        }
    return {**sent, **changes}


# Members


def test_several_members_come_at_once_with_marks_and_roles(
    planner: Client, household: Household
) -> None:
    rows = [("Dev", "adult", "organiser"), ("Wren", "16_17", ""), ("", "", ""), ("Ilo", "8_11", "")]
    answer = planner.post(url("members", household), people_sent(*rows))
    assert answer.headers["Location"] == url("areas", household)
    found = {member.name: member for member in living_here(household)}
    assert {name: member.role for name, member in found.items()} == {
        "Marit": Role.ORGANISER,
        "Dev": Role.ORGANISER,
        "Wren": Role.MEMBER,
        "Ilo": Role.CHILD,
    }
    assert len({(member.shape, member.hue) for member in found.values()}) == 4
    assert found["Ilo"].weight < found["Wren"].weight < found["Dev"].weight
    assert sum(found["Ilo"].free_minutes) < sum(found["Dev"].free_minutes)


def test_sending_members_again_or_going_back_adds_nobody_twice(
    planner: Client, household: Household
) -> None:
    for _ in range(2):
        planner.post(url("members", household), people_sent(("Ilo", "8_11", "")))
    planner.post(url("members", household), people_sent(("ILO", "adult", "")))
    assert [member.name for member in living_here(household)] == ["Marit", "Ilo"]
    assert "Ilo</span>" in planner.get(url("members", household)).content.decode()


def test_the_same_name_twice_is_asked_about_and_kept(planner: Client, household: Household) -> None:
    sent = people_sent(("Sam", "adult", ""), ("sam", "5_7", ""))
    answer = planner.post(url("members", household), sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "That name stands here twice." in page
    assert 'value="Sam"' in page
    assert 'value="sam"' in page
    assert '<option value="5_7" selected>' in page
    assert len(living_here(household)) == 1


def test_more_rows_keep_what_was_typed(planner: Client, household: Household) -> None:
    sent = people_sent(("Sam", "5_7", "member"), more="1")
    answer = planner.post(url("members", household), sent)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'name="name_10"' in page
    assert 'value="Sam"' in page
    assert "Nobody is added yet" not in page
    assert len(living_here(household)) == 1
    last = planner.post(url("members", household), people_sent(rows="3000", more="1"))
    assert "name_30" in last.content.decode()
    assert "name_31" not in last.content.decode()


def test_with_all_marks_taken_nobody_comes_and_it_is_said(
    planner: Client, household: Household
) -> None:
    for _ in range(35):
        make_member(household, signs_in=False)
    answer = planner.post(url("members", household), people_sent(("Ilo", "8_11", "")))
    assert answer.status_code == 422
    assert "All 36 marks are taken." in answer.content.decode()
    assert 'value="Ilo"' in answer.content.decode()


# Areas


def test_the_usual_areas_are_ticked_for_an_empty_home(
    planner: Client, household: Household
) -> None:
    page = planner.get(url("areas", household)).content.decode()
    for kind in starter.area_kinds():
        box = page.split(f'name="on_{kind}"')[1].split(">")[0]
        assert ("checked" in box) == (kind in starter.USUAL), kind


def test_every_kind_of_the_fixture_stands_under_a_question() -> None:
    placed = [kind for _, kinds in starter.GROUPS for kind in kinds]
    assert sorted(placed) == sorted(starter.area_kinds())


def test_areas_are_added_as_many_and_as_called(planner: Client, household: Household) -> None:
    make_member(household, "Ilo", age_band="8_11")
    sent = {
        "on_kitchen": "on", "count_kitchen": "1", "names_kitchen": "Cook’s corner",
        "on_bedroom": "on", "count_bedroom": "3", "names_bedroom": "Attic",
        "on_child_bedroom": "on", "count_child_bedroom": "1", "names_child_bedroom": "Ilo’s room",
        "count_garden": "2", "names_garden": "Not ticked",
    }  # fmt: skip
    for _ in range(2):
        answer = planner.post(url("areas", household), sent)
        assert answer.headers["Location"] == url("chores", household)
    found = {area.name: area for area in Area.objects.filter(household=household)}
    assert set(found) == {"Cook’s corner", "Attic", "Bedroom 2", "Bedroom 3", "Ilo’s room"}
    assert found["Cook’s corner"].kind == "kitchen"
    assert found["Cook’s corner"].clean_days == starter.area_kinds()["kitchen"].clean_days
    assert str(found["Ilo’s room"].owner) == "Ilo"
    assert len({area.position for area in found.values()}) == 5


def test_going_back_shows_what_is_there_and_ticks_nothing(planner: Client, home: Household) -> None:
    page = planner.get(url("areas", home)).content.decode()
    assert "here already: Kitchen" in page
    assert "checked" not in page
    assert 'value="Bedroom 2"' in page


def test_too_long_a_name_is_refused_and_kept(planner: Client, household: Household) -> None:
    sent = {"on_kitchen": "on", "count_kitchen": "1", "names_kitchen": "K" * 61}
    answer = planner.post(url("areas", household), sent)
    assert answer.status_code == 422
    assert "K" * 61 in answer.content.decode()
    assert not Area.objects.exists()


@pytest.mark.parametrize(
    ("count", "typed", "names"),
    [
        (1, "", ["Bedroom"]),
        (2, "Bedroom", ["Bedroom", "Bedroom 2"]),
        (3, "Big one", ["Big one", "Bedroom 2", "Bedroom 3"]),
        (1, "Attic, Blue room , Attic,", ["Attic", "Blue room"]),
    ],
)
def test_names_of_areas(count: int, typed: str, names: list[str]) -> None:
    assert area_names("Bedroom", count, typed) == names


# Chores


def test_what_is_ticked_fits_the_minutes_and_the_people(home: Household) -> None:
    found = offers(home, TODAY)
    ticked = [offer for offer in found if offer.ticked]
    people = living_here(home)
    assert 20 <= len(ticked) <= 45
    assert sum(offer.week for offer in ticked) <= sum(free_together(people)) * FILL
    assert not any(offer.common.only_if for offer in ticked)
    assert {"Test the smoke alarms", "Basin and WC"} <= {offer.common.name for offer in ticked}
    # One thing is not ticked twice under two names.
    named = Counter((offer.area.pk, offer.common.name) for offer in ticked)
    stands_for = {(offer.area.pk, offer.common.like) for offer in ticked if offer.whom}
    assert max(named.values()) == 1
    assert not stands_for & set(named)
    # Each area gets something.
    assert {offer.area.kind for offer in ticked} == set(HOME)


def test_a_child_is_offered_only_what_suits_the_age(home: Household) -> None:
    ilo = Member.objects.get(name="Ilo")
    own = [offer for offer in offers(home, TODAY) if offer.whom == ilo]
    assert own
    for offer in own:
        assert offer.common.for_age == "8_11"
        assert "Flais" in offer.common.source_words or "AACAP" in offer.common.source_words
    for offer in offers(home, TODAY):
        limits = Chore(
            name=offer.common.name,
            min_age=offer.common.min_age,
            hazards=list(offer.common.hazards),
        )
        assert (ilo in offer.may) == may_do(limits, ilo)


def test_the_page_says_source_caution_and_condition(planner: Client, home: Household) -> None:
    page = planner.get(url("chores", home)).content.decode()
    assert "Source: Fire and Rescue NSW, smoke alarm maintenance guide." in page
    assert "Common practice, no source." in page
    assert "Only if you have a pet." in page
    assert "<b>One cleaner only.</b>" in page
    assert "In turn: Marit and Dev" in page


def test_one_button_adds_them_all_and_spreads_them(
    planner: Client, home: Household, organiser: Member
) -> None:
    found = offers(home, TODAY)
    answer = planner.post(url("chores", home), chores_sent(found))
    assert answer.headers["Location"] == reverse("web:today", args=[home.pk])
    made = list(Chore.objects.filter(household=home))
    assert len(made) == sum(offer.ticked for offer in found)
    assert {chore.keeper for chore in made} == {organiser}
    assert Entry.objects.filter(did=Did.ADDED, actor=organiser).count() == len(made)
    days = Counter[Any]()
    for task in Task.objects.filter(household=home, closes__lt=TODAY + timedelta(days=28)):
        days[task.closes] += task.minutes
    free = free_together(living_here(home))
    month = [TODAY + timedelta(days=step) for step in range(1, 28)]
    assert all(days[day] <= 1.5 * free[day.weekday()] for day in month)
    assert sum(days[day] for day in month if day.weekday() >= 5) > 0
    # Everybody has something, nobody has nearly all.
    minutes = Counter[Any]()
    for task in Task.objects.filter(household=home, member__isnull=False):
        minutes[str(task.member)] += task.minutes
    assert set(minutes) == {"Marit", "Dev", "Ilo"}
    assert max(minutes.values()) <= 0.5 * sum(minutes.values())
    today = planner.get(answer.headers["Location"]).content.decode()
    assert 'role="checkbox"' in today


def test_sending_chores_again_adds_none_and_offers_the_rest(
    planner: Client, home: Household
) -> None:
    first = offers(home, TODAY)
    sent = chores_sent(first)
    planner.post(url("chores", home), sent)
    made = Chore.objects.count()
    planner.post(url("chores", home), sent)
    assert Chore.objects.count() == made
    left = offers(home, TODAY)
    assert not any(offer.ticked for offer in left)
    assert {offer.key for offer in left} < {offer.key for offer in first}
    assert not {offer.key for offer in first if offer.ticked} & {offer.key for offer in left}


def test_rows_can_be_changed_before_they_are_added(planner: Client, home: Household) -> None:
    found = offers(home, TODAY)
    washing_up = next(offer for offer in found if offer.common.name == "Wash up")
    dev = Member.objects.get(name="Dev")
    changes = {
        f"on_{washing_up.key}": "on",
        f"name_{washing_up.key}": "Pots and pans",
        f"minutes_{washing_up.key}": "25",
        f"who_{washing_up.key}": str(dev.pk),
    }
    planner.post(url("chores", home), changes | {
        f"who_{offer.key}": "anyone" for offer in found if offer != washing_up
    })  # fmt: skip
    chore = Chore.objects.get()
    assert (chore.name, chore.minutes) == ("Pots and pans", 25)
    assert (chore.who, chore.fixed) == (Who.FIXED, dev)


def test_nobody_too_young_can_be_sent_in(planner: Client, home: Household) -> None:
    ilo = Member.objects.get(name="Ilo")
    found = offers(home, TODAY)
    oven = next(offer for offer in found if offer.common.name == "Oven, deep")
    sent = chores_sent(found, **{f"on_{oven.key}": "on", f"who_{oven.key}": str(ilo.pk)})
    assert planner.post(url("chores", home), sent).status_code == 422
    assert not Chore.objects.exists()


def test_wrong_minutes_keep_what_was_typed_and_open_their_area(
    planner: Client, home: Household
) -> None:
    found = offers(home, TODAY)
    one = next(offer for offer in found if offer.ticked)
    sent = chores_sent(found, **{f"minutes_{one.key}": "soon", f"name_{one.key}": "My own words"})
    answer = planner.post(url("chores", home), sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Type the minutes as a number" in page
    assert 'value="soon"' in page
    assert "My own words" in page
    assert page.count('<details class="offers" data-area open>') == 1
    assert not Chore.objects.exists()


def test_an_unticked_row_may_hold_anything(planner: Client, home: Household) -> None:
    found = offers(home, TODAY)
    one = next(offer for offer in found if not offer.ticked)
    sent = chores_sent(found, **{f"name_{one.key}": "", f"minutes_{one.key}": ""})
    assert planner.post(url("chores", home), sent).status_code == 302


def test_a_large_home_fits_in_one_send(planner: Client, home: Household) -> None:
    for number in range(30):
        make_area(home, f"Bath {number}", kind="bathroom")
    found = offers(home, TODAY)
    one = next(offer for offer in found if offer.common.name == "Wash up")
    sent = chores_sent(found)
    assert len(sent) > 1000
    boxes = {name: value for name, value in sent.items() if not name.startswith("on_")}
    answer = planner.post(url("chores", home), {**boxes, f"on_{one.key}": "on"})
    assert answer.status_code == 302
    assert Chore.objects.get().name == "Wash up"


def test_without_areas_it_leads_to_them(planner: Client, household: Household) -> None:
    page = planner.get(url("chores", household)).content.decode()
    assert url("areas", household) in page
    assert "Chores belong to areas" in page


def test_each_step_can_be_skipped(planner: Client, household: Household) -> None:
    then = {"members": "areas", "areas": "chores"}
    for step, following in then.items():
        assert url(following, household) in planner.get(url(step, household)).content.decode()
    assert planner.post(url("chores", household), {}).status_code == 302
    assert not Chore.objects.exists()


def test_more_links_to_it_for_organisers_only(
    planner: Client, household: Household, member: Member, client_for: SignedIn
) -> None:
    more = reverse("web:more", args=[household.pk])
    assert url("areas", household) in planner.get(more).content.decode()
    assert url("areas", household) not in client_for(member).get(more).content.decode()


@pytest.mark.parametrize("step", ["members", "areas", "chores"])
@pytest.mark.parametrize("who", ["member", "child", "outsider"])
def test_only_organisers_come_in(
    step: str, who: str, household: Household, client_for: SignedIn, request: Any
) -> None:
    client = client_for(request.getfixturevalue(who))
    assert client.get(url(step, household)).status_code == 404
    assert client.post(url(step, household), {}).status_code == 404


@pytest.mark.parametrize("step", ["members", "areas", "chores"])
def test_as_many_queries_in_a_large_home(planner: Client, home: Household, step: str) -> None:
    def counted() -> int:
        planner.get(url(step, home))
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert planner.get(url(step, home)).status_code == 200
        return len(queries)

    small = counted()
    for number in range(6):
        make_member(home, f"Guest {number}", age_band="12_15")
        area = make_area(home, f"Bath {number}", kind="bathroom")
        make_chore(home, area=area)
    assert counted() == small

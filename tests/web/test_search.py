"""One search box: every kind is found, by whom may see it, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.chores import ticking
from household.people.models import Household, Member
from household.requests import actions as requests
from household.web.search_groups import GROUPS
from household.web.search_views import FIRST
from tests.breathers.making import make_idea, make_private
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_chore,
    make_household,
    make_member,
    make_task,
)
from tests.occasions.making import make_occasion
from tests.requests.making import make_appliance, make_outsider, make_request

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]


def look(client: Client, household: Household, query: str, **more: str) -> Any:
    address = reverse("web:search", args=[household.pk])
    answer = client.get(address, {"q": query, **more})
    assert answer.status_code == 200
    return answer


def names(answer: Any) -> dict[str, list[str]]:
    """What was found, by group."""
    return {group.key: [hit.name for hit in group.hits] for group in answer.context["groups"]}


@pytest.fixture
def full(household: Household, organiser: Member, member: Member, child: Member) -> Household:
    """Something called larch of every kind."""
    area = make_area(household, "Larch room")
    make_chore(household, "Dust the larch", area=area)
    make_task(household, "Oil the larch table", area=area, member=member)
    make_request(household, member, "The larch door sticks")
    make_outsider(household, name="Larch Joinery", trade="Joiner")
    make_appliance(household, name="Larch stove")
    make_idea(household, "Sit under the larch")
    make_occasion(household, member, "Larch day")
    return household


def test_every_kind_is_found_and_leads_somewhere(
    full: Household, organiser: Member, client_for: ClientFor
) -> None:
    client = client_for(organiser)
    answer = look(client, full, "larch")
    assert set(names(answer)) == {
        "tasks", "chores", "areas", "requests", "outside", "register", "occasions", "breathers",
    }  # fmt: skip
    for group in answer.context["groups"]:
        for hit in group.hits:
            assert client.get(hit.url).status_code == 200, hit
    assert names(look(client, full, "marit")) == {"members": ["Marit"]}


def test_a_child_finds_what_it_may_open_and_no_more(
    full: Household, child: Member, client_for: ClientFor
) -> None:
    client = client_for(child)
    answer = look(client, full, "larch")
    assert set(names(answer)) == {"tasks", "areas", "requests", "occasions", "breathers"}
    for group in answer.context["groups"]:
        for hit in group.hits:
            assert client.get(hit.url).status_code == 200, hit
    for kind in ("outside", "register", "chores"):
        assert "outside" not in names(look(client, full, "larch", **{"in": kind}))
        assert "register" not in names(look(client, full, "larch", **{"in": kind}))
        assert "chores" not in names(look(client, full, "larch", **{"in": kind}))


def test_a_member_who_does_not_organise_is_led_to_pages_that_open(
    full: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    answer = look(client, full, "larch")
    assert len(answer.context["groups"]) == 8
    for group in answer.context["groups"]:
        for hit in group.hits:
            assert client.get(hit.url).status_code == 200, hit


def test_nothing_of_another_home_is_found(
    full: Household, outsider: Member, client_for: ClientFor
) -> None:
    assert names(look(client_for(outsider), outsider.household, "larch")) == {}
    assert client_for(outsider).get(f"/h/{full.pk}/search/?q=larch").status_code == 404


def test_a_dangerous_request_and_its_task_are_for_whom_they_are(
    household: Household, organiser: Member, member: Member, child: Member, client_for: ClientFor
) -> None:
    asked = make_request(household, child, "The meter hums", kind="repair", dangers=["electricity"])
    other = make_member(household, "Felix", role="child", age_band="8_11")
    asked.for_adults = True
    asked.save()
    for viewer in (organiser, member, child):
        assert names(look(client_for(viewer), household, "meter")) == {
            "requests": ["The meter hums"]
        }
    assert names(look(client_for(other), household, "meter")) == {}
    requests.take(asked=asked, member=organiser, now=NOW, minutes=20, by=TODAY, day=TODAY)
    assert "tasks" in names(look(client_for(member), household, "meter"))
    assert "tasks" in names(look(client_for(child), household, "meter"))
    assert names(look(client_for(other), household, "meter")) == {}


def test_a_private_breather_is_found_by_its_owner_alone(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    make_private(member, "Learn to juggle")
    assert "breathers" in names(look(client_for(member), household, "juggle"))
    for viewer in (organiser, make_member(household, "Greta")):
        answer = look(client_for(viewer), household, "juggle")
        assert names(answer) == {} and "Learn" not in answer.content.decode()


@pytest.mark.parametrize(
    "query", ["apfel", "ÄPFEL", "äpfel", "A\u0308pfel", "creme apfel", "CRÈME"]
)
def test_case_and_accents_are_the_same_on_every_database(
    query: str, household: Household, member: Member, client_for: ClientFor
) -> None:
    make_task(household, "Äpfel mit Crème")
    make_task(household, "Birnen")
    assert names(look(client_for(member), household, query)) == {"tasks": ["Äpfel mit Crème"]}


def test_every_word_must_be_there_but_may_be_anywhere(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    kitchen = make_area(household, "Kitchen")
    make_task(household, "Scrub the oven", area=kitchen, member=member)
    make_task(household, "Scrub the bath", member=member)
    client = client_for(organiser)
    assert names(look(client, household, "kitchen scrub dev"))["tasks"] == ["Scrub the oven"]
    assert names(look(client, household, "kitchen bath")) == {}


def test_a_chore_is_one_task_to_do_and_one_that_was_done(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    chore = make_chore(household, "Feed the hens", rule="FREQ=DAILY")
    first, second = chore.tasks.order_by("closes")[:2]
    for n, task in enumerate((first, second)):
        done = NOW - timedelta(days=2 - n)
        ticking.tick(task=task, member=member, now=done, horizon=TODAY)
    hits = look(client_for(member), household, "hens").context["groups"][0].hits
    assert [hit.about.split(" · ")[0] for hit in hits] == ["by Saturday", "done yesterday"]


def test_what_was_done_long_ago_or_put_away_is_not_in_the_way(
    household: Household, organiser: Member, client_for: ClientFor
) -> None:
    long_ago = TODAY - timedelta(days=93)
    make_task(household, "Old larch", state="done", done_on=long_ago, day=long_ago)
    make_area(household, "Larch room", archived_at=NOW)
    make_outsider(household, name="Larch Joinery", archived_at=NOW)
    make_idea(household, "The larch", archived_at=NOW)
    assert names(look(client_for(organiser), household, "larch")) == {}


def test_a_long_group_shows_a_few_and_the_way_to_all(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    for n in range(FIRST + 2):
        make_task(household, f"Larch {n}", day=TODAY + timedelta(days=n))
    make_idea(household, "The larch")
    client = client_for(member)
    answer = look(client, household, "larch")
    (tasks,) = [group for group in answer.context["groups"] if group.key == "tasks"]
    assert (len(tasks.hits), tasks.count) == (FIRST, FIRST + 2)
    assert f"All {FIRST + 2}" in answer.content.decode()
    every = client.get(tasks.all_url)
    assert list(names(every)) == ["tasks"] and len(names(every)["tasks"]) == FIRST + 2
    assert "Look everywhere" in every.content.decode()


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("", "type a word or two"),
        ("x", "Type at least two letters."),
        ("zzz", "Nothing has “zzz” in it."),
        ("<b>&", "Nothing has “&lt;b&gt;&amp;” in it."),
    ],
)
def test_what_an_empty_page_says(
    query: str, said: str, household: Household, member: Member, client_for: ClientFor
) -> None:
    answer = look(client_for(member), household, query)
    assert said in answer.content.decode()
    assert answer.context["groups"] == []


def test_live_results_are_a_part_of_the_page(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    make_task(household, "Larch")
    address = reverse("web:search", args=[household.pk])
    answer = client_for(member).get(address, {"q": "larch"}, headers={"HX-Request": "true"})
    assert answer.content.decode().strip().startswith('<div id="found">')
    assert "HX-Request" in answer["Vary"]


def test_one_query_a_group_for_three_rows_and_for_thirty(now: Any, client_for: ClientFor) -> None:
    def queries(count: int) -> int:
        home = make_household()
        one = make_member(home, role="organiser")
        other = make_member(home)
        for n in range(count):
            area = make_area(home, f"Larch room {n}", owner=one)
            make_chore(home, f"Larch {n}", area=area, keeper=other)
            make_task(home, f"Larch {n}", area=area, member=other)
            make_request(home, other, f"Larch {n}", area=area, to=one)
            make_outsider(home, name=f"Larch {n}")
            make_appliance(home, name=f"Larch {n}", area=area)
            make_idea(home, f"Larch {n}", owner=other)
            make_occasion(home, one, f"Larch {n}", concerns=[other])
        client = client_for(one)
        look(client, home, "larch")
        with CaptureQueriesContext(connection) as captured:
            answer = look(client, home, "larch")
        assert len(answer.context["groups"]) == 8
        return len(captured)

    few = queries(3)
    assert few == queries(30)
    assert few <= len(GROUPS) + 3  # the session, the account, who asks


def test_it_can_be_reached_from_every_page(
    household: Household, member: Member, child: Member, client_for: ClientFor
) -> None:
    address = reverse("web:search", args=[household.pk])
    for viewer in (member, child):
        client = client_for(viewer)
        for path in ("today/", "week/2026-03-09/"):
            page = client.get(f"/h/{household.pk}/{path}").content.decode()
            assert f'href="{address}"' in page, path
        more = client.get(f"/h/{household.pk}/more/").content.decode()
        assert f'role="search" action="{address}"' in more


def test_more_leads_to_every_page_that_a_phones_bar_has_no_room_for(
    household: Household, organiser: Member, client_for: ClientFor
) -> None:
    answer = client_for(organiser).get(f"/h/{household.pk}/more/")
    names = [name for name, _ in answer.context["pages"]]
    assert {"Requests", "Chores", "Areas", "Members", "Overview", "Search"} <= set(names)
    main = answer.content.decode().split("<main")[1]
    for name, url in answer.context["pages"]:
        assert f'<li class="bar-pages"><a href="{url}">{name}</a>' in main


def test_dates_stand_as_the_home_writes_them(now: Any, client_for: ClientFor) -> None:
    home = make_household(date_order="mdy")
    one = make_member(home)
    make_task(home, "Larch", day=date(2026, 5, 1))
    hit = look(client_for(one), home, "larch").context["groups"][0].hits[0]
    assert hit.about.startswith("by May 1")

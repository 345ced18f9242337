"""The areas' pages: the list with its order and its spotlight, and the form."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.areas.models import Area, Spotlight
from household.people.models import Household, Member
from tests.factories import TODAY, make_area, make_chore, make_task

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]
FOR_ORGANISERS = [
    ("get", "areas:add"),
    ("post", "areas:add"),
    ("get", "areas:area"),
    ("post", "areas:area"),
    ("post", "areas:place"),
    ("post", "areas:archive"),
    ("post", "areas:restore"),
    ("post", "areas:spotlight"),
]


def address(name: str, household: Household, area: Area | None = None) -> str:
    args = [household.pk]
    if name not in ("areas:list", "areas:add", "areas:spotlight"):
        args.append((area or make_area(household)).pk)
    if name == "areas:place":
        args.append(0)
    return reverse(name, args=args)


def typed(**fields: Any) -> dict[str, Any]:
    usual = {"name": "Shed", "owner": "", "tidy_days": "", "clean_days": "", "deep_days": ""}
    return {**usual, "floor_area": "", **fields}


@pytest.mark.parametrize(("method", "name"), [*FOR_ORGANISERS, ("get", "areas:list")])
def test_to_an_outsider_the_household_does_not_exist(
    client_for: SignedIn, outsider: Member, household: Household, method: str, name: str
) -> None:
    asked = address(name, household)
    assert getattr(client_for(outsider), method)(asked).status_code == 404


@pytest.mark.parametrize(("method", "name"), FOR_ORGANISERS)
@pytest.mark.parametrize("who", ["member", "child"])
def test_only_organisers_change_areas(
    client_for: SignedIn, request: pytest.FixtureRequest, who: str, method: str, name: str
) -> None:
    somebody: Member = request.getfixturevalue(who)
    asked = address(name, somebody.household)
    assert getattr(client_for(somebody), method)(asked).status_code == 404


def test_areas_of_other_households_are_not_found(
    client_for: SignedIn, organiser: Member, outsider: Member
) -> None:
    theirs, client = make_area(outsider.household, "Shed"), client_for(organiser)
    for name in ("areas:area", "areas:place", "areas:archive", "areas:restore"):
        assert client.post(address(name, organiser.household, theirs)).status_code == 404
    form = client.post(address("areas:spotlight", organiser.household), {"area": theirs.pk})
    assert form.status_code == 422 and not Spotlight.objects.exists()


def test_list_tells_when_each_level_was_last_done(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    home = organiser.household
    shed = make_area(home, "Shed", owner=member, tidy_days=3, clean_days=30)
    make_chore(home, area=shed)
    for level, days in (("tidy", 4), ("tidy", 9), ("clean", 8)):
        make_task(home, area=shed, level=level, state="done", done_on=TODAY - timedelta(days))
    text = client_for(organiser).get(address("areas:list", home)).content.decode()
    row = text[text.index(f'id="area-{shed.pk}"') :].partition("</tr>")[0]
    assert "Dev" in row and "1 chore<" in row
    assert '<td class="num past">4 <i>of 3</i>' in row
    assert '<td class="num">8 <i>of 30</i>' in row
    assert '<td class="num">never</td>' in row


@pytest.mark.parametrize("who", ["member", "child"])
def test_list_is_read_only_for_others(
    client_for: SignedIn, request: pytest.FixtureRequest, who: str
) -> None:
    somebody: Member = request.getfixturevalue(who)
    shed = make_area(somebody.household, "Shed")
    answer = client_for(somebody).get(address("areas:list", somebody.household))
    main = answer.content.decode().partition("<main")[2]
    assert answer.status_code == 200 and "Shed" in main
    assert (
        "<form" not in main and reverse("areas:area", args=[shed.household_id, shed.pk]) not in main
    )


def test_list_asks_the_database_as_often_for_thirty_as_for_three(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    client, home = client_for(organiser), organiser.household

    def queries(rows: int) -> int:
        while home.areas.count() < rows:
            area = make_area(home, owner=member)
            make_task(home, area=area, state="done", done_on=TODAY)
        with CaptureQueriesContext(connection) as captured:
            text = client.get(address("areas:list", home)).content.decode()
        assert text.count('<tr id="area-') == rows
        return len(captured)

    queries(1)
    assert queries(3) == queries(30)


def test_area_is_added(client_for: SignedIn, organiser: Member, member: Member) -> None:
    home = organiser.household
    sent = typed(owner=member.pk, tidy_days="7", floor_area="12.5")
    answer = client_for(organiser).post(address("areas:add", home), sent, follow=True)
    assert "“Shed” is an area now." in answer.content.decode()
    area = home.areas.get()
    assert (area.owner, area.tidy_days, area.clean_days) == (member, 7, None)
    assert area.floor_area_m2 == Decimal("12.5")


def test_refused_form_keeps_what_was_typed(client_for: SignedIn, organiser: Member) -> None:
    home = organiser.household
    make_area(home, "Shed")
    client, asked = client_for(organiser), address("areas:add", home)
    answer = client.post(asked, typed(name="shed", clean_days="30"))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "There is an area called “shed” already." in text
    assert 'value="shed"' in text and 'value="30"' in text
    answer = client.post(asked, typed(name="", tidy_days="0", floor_area="big"))
    text = answer.content.decode()
    assert answer.status_code == 422
    for sentence in ("Type a name", "Type 1 day or more.", "Type a number, for example 12.5."):
        assert sentence in text
    assert 'value="big"' in text and home.areas.count() == 1


def test_area_is_changed_and_its_tasks_follow_the_owner(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    home = organiser.household
    shed = make_area(home, "Shed")
    chore = make_chore(home, area=shed, who="owner")
    sent = typed(name="Garden shed", owner=member.pk)
    for _ in range(2):
        answer = client_for(organiser).post(address("areas:area", home, shed), sent)
        assert answer.status_code == 302
    assert Area.objects.get(pk=shed.pk).name == "Garden shed"
    assert set(chore.tasks.values_list("member_id", flat=True)) == {member.pk}


def test_floor_is_typed_in_the_households_units_and_kept_exact(
    client_for: SignedIn, organiser: Member
) -> None:
    home = organiser.household
    Household.objects.filter(pk=home.pk).update(units="US")
    shed = make_area(home, "Shed", floor_area_m2=Decimal("10.0000"))
    client, asked = client_for(organiser), address("areas:area", home, shed)
    text = client.get(asked).content.decode()
    assert 'value="107.6"' in text and "square feet" in text
    client.post(asked, typed(floor_area="107.6"))
    assert Area.objects.get(pk=shed.pk).floor_area_m2 == Decimal("10")
    client.post(asked, typed(floor_area="200"))
    assert Area.objects.get(pk=shed.pk).floor_area_m2 == Decimal("18.5806")


def test_order_is_changed_by_buttons(client_for: SignedIn, organiser: Member) -> None:
    home, client = organiser.household, client_for(organiser)
    first, second = make_area(home, "Kitchen"), make_area(home, "Shed")
    text = client.get(address("areas:list", home)).content.decode()
    up = reverse("areas:place", args=[home.pk, second.pk, 0])
    assert f'action="{up}"' in text and "Move Shed up" in text
    assert "Move Kitchen up" not in text and "Move Shed down" not in text
    own_page = client.get(address("areas:area", home, second)).content.decode()
    assert f'action="{up}"' in own_page and "Move down" not in own_page
    for _ in range(2):
        assert client.post(up)["Location"].endswith(f"#area-{second.pk}")
        assert list(home.areas.order_by("position")) == [second, first]


def test_area_with_chores_is_not_put_away(client_for: SignedIn, organiser: Member) -> None:
    home = organiser.household
    shed = make_area(home, "Shed")
    for _ in range(2):
        make_chore(home, area=shed)
    answer = client_for(organiser).post(address("areas:archive", home, shed))
    text = answer.content.decode()
    assert answer.status_code == 422
    link = f'<a href="{reverse("chores:list", args=[home.pk])}?area={shed.pk}">2 chores</a>'
    assert f"There are still {link} in “Shed”." in text
    assert Area.objects.get(pk=shed.pk).archived_at is None


def test_area_is_put_away_and_brought_back(client_for: SignedIn, organiser: Member) -> None:
    home, client = organiser.household, client_for(organiser)
    shed = make_area(home, "Shed")
    make_chore(home, area=shed, archived_at=organiser.household.created_at)
    for _ in range(2):
        answer = client.post(address("areas:archive", home, shed), follow=True)
    restore = address("areas:restore", home, shed)
    assert f'action="{restore}"' in answer.content.decode().partition("<main")[2]
    assert client.get(address("areas:area", home, shed)).status_code == 404
    for _ in range(2):
        client.post(restore)
    assert Area.objects.get(pk=shed.pk).archived_at is None


def test_area_whose_name_is_taken_by_now_stays_away(
    client_for: SignedIn, organiser: Member
) -> None:
    home = organiser.household
    old = make_area(home, "Shed", archived_at=home.created_at)
    make_area(home, "Shed")
    answer = client_for(organiser).post(address("areas:restore", home, old))
    assert answer.status_code == 422 and "“Shed” already" in answer.content.decode()


def test_spotlight_is_set_and_taken_away(client_for: SignedIn, organiser: Member) -> None:
    home, client = organiser.household, client_for(organiser)
    shed = make_area(home, "Shed")
    asked = address("areas:spotlight", home)
    for _ in range(2):
        answer = client.post(asked, {"area": shed.pk}, follow=True)
    text = answer.content.decode()
    assert "is March’s spotlight" in text and '<em class="lit">spotlight</em>' in text
    answer = client.post(asked, {"area": ""}, follow=True)
    assert "No area is in the spotlight this month." in answer.content.decode()

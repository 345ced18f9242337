"""The pages of requests: asked and answered through forms, pictures behind the door, equal cost."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.chores.models import Chore, Task
from household.people.models import Household, Member
from household.requests import actions, keeping, photos, queries
from household.requests.models import Estimate, HelpSettings, Photo, Request, Standing
from household.requests.outside_models import Appliance, Outsider
from household.requests.standing import stands
from tests.factories import NOW, TODAY, make_area, make_member
from tests.requests.making import (
    make_appliance,
    make_outsider,
    make_photo,
    make_request,
    taken_by,
)
from tests.requests.pictures import chunks, jpeg, upload

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]
DAY = timedelta(days=1)


def url(name: str, household: Household, *more: int) -> str:
    return reverse(f"requests:{name}", args=[household.pk, *more])


def typed(**fields: Any) -> dict[str, Any]:
    return {"what": "The tap drips", "kind": "repair", "urgency": "soon", **fields}


@pytest.fixture
def desk(client_for: SignedIn, organiser: Member) -> Client:
    return client_for(organiser)


@pytest.fixture
def phone(client_for: SignedIn, member: Member) -> Client:
    return client_for(member)


# Asking


def test_asking_with_a_photo(phone: Client, household: Household, organiser: Member) -> None:
    kitchen = make_area(household, "Kitchen")
    answer = phone.post(
        url("ask", household), typed(area=kitchen.pk, photos=[upload(jpeg(800, 600))])
    )
    asked = Request.objects.get()
    assert answer.status_code == 302 and answer["Location"] == url("request", household, asked.pk)
    assert (asked.what, asked.area, asked.asker and asked.asker.name) == (
        "The tap drips",
        kitchen,
        "Dev",
    )
    picture = phone.get(url("photo", household, asked.photos.get().pk))
    assert set(chunks(picture.content)) == {"VP8 "}


def test_a_refused_photo_keeps_what_was_typed(phone: Client, household: Household) -> None:
    svg = upload(b"<svg></svg>", "drawing.svg")
    answer = phone.post(url("ask", household), typed(details="Cold water", photos=[svg]))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "“drawing.svg” is not a photo we can read. Send a JPEG, PNG or WebP." in text
    assert 'value="The tap drips"' in text and "Cold water" in text
    assert "What you typed is still here; choose the photo once more." in text
    assert not Request.objects.exists()


def test_nothing_typed_says_what_is_missing(phone: Client, household: Household) -> None:
    answer = phone.post(url("ask", household), typed(what=" "))
    assert answer.status_code == 422
    assert "Not asked yet. One thing is missing." in answer.content.decode()


def test_sending_again_asks_once_and_keeps_one_picture(phone: Client, household: Household) -> None:
    page = phone.get(url("ask", household)).content.decode()
    found = re.search(r'name="key" value="([^"]+)"', page)
    assert found
    for _ in range(2):
        sent = typed(key=found[1], photos=[upload(jpeg(400, 300))])
        assert phone.post(url("ask", household), sent).status_code == 302
    assert Request.objects.count() == Photo.objects.count() == 1
    assert len(list(photos._folder().rglob("*.webp"))) == 1


def test_the_usual_ones_fill_the_form(phone: Client, household: Household) -> None:
    help_by = queries.settings_of(household)
    keeping.set_help(
        household=household,
        fields={"usual": [{"kind": "lift", "what": "To the station"}], "gas": help_by.gas},
    )
    page = phone.get(url("ask", household), {"usual": "0"}).content.decode()
    assert 'value="To the station"' in page
    assert re.search(r'value="lift"[^>]*checked', page)
    assert phone.get(url("ask", household), {"usual": "99"}).status_code == 200


def test_typing_shows_the_caution_and_what_to_do_first(phone: Client, household: Household) -> None:
    page = phone.post(url("look", household), {"what": "It smells of gas", "kind": "other"})
    text = page.content.decode()
    assert text.index("Get safe first") < text.index("Everybody out, now")
    assert text.index("Everybody out, now") < text.index('href="tel:112"')
    assert "Gas is for a licensed person." in text
    assert not Request.objects.exists()
    quiet = phone.post(url("look", household), {"what": "The chair wobbles", "kind": "repair"})
    assert "Get safe" not in quiet.content.decode() and "licensed" not in quiet.content.decode()


def test_numbers_are_the_households_own(desk: Client, phone: Client, household: Household) -> None:
    page = desk.get(url("settings", household)).content.decode()
    assert "Please check these numbers." in page and 'value="112"' in page
    sent = {"emergency": "112", "gas": "1850 20 50 50", "plumber": "01 555 0100"}
    sent |= {
        "usual": "lift: To the station\nSomething else",
        "currency": "€",
        "address": "Mill Lane",
    }
    for _ in range(2):
        assert desk.post(url("settings", household), sent).status_code == 302
    kept = HelpSettings.objects.get()
    assert kept.usual == [
        {"kind": "lift", "what": "To the station"},
        {"kind": "other", "what": "Something else"},
    ]
    text = phone.get(url("emergency", household)).content.decode()
    assert 'href="tel:1850205050"' in text and 'href="tel:015550100"' in text


def test_an_emergency_leads_its_page(phone: Client, household: Household, member: Member) -> None:
    asked = make_request(household, member, "The socket sparks", kind="repair")
    text = phone.get(url("request", household, asked.pk)).content.decode()
    assert text.index("Get safe first") < text.index("<h1>The socket sparks</h1>")
    assert "Mains electricity is for a licensed person." in text
    assert "Ask a licensed electrician." in text
    assert "I’ll do it" not in text


# Answering


def test_one_touch_takes_it_on(desk: Client, household: Household, member: Member) -> None:
    """Everything is filled in already: sending the form as it stands is enough."""
    asked = make_request(household, member, kind="carrying", by=TODAY + 2 * DAY)
    page = desk.get(url("request", household, asked.pk)).content.decode()
    fields = dict(re.findall(r'name="(take-[a-z]+)" value="([^"]*)"', page))
    assert fields["take-minutes"] == "10" and fields["take-by"] == "2026-03-14"
    assert fields["take-day"] == "2026-03-12", "the first day with room"
    answer = desk.post(url("take", household, asked.pk), fields)
    assert answer.status_code == 302
    assert Task.objects.get().member_id is not None
    week = desk.get(reverse("week:this", args=[household.pk]), follow=True).content.decode()
    assert "The tap drips" in week


def test_a_refused_answer_keeps_what_was_typed(
    desk: Client, household: Household, member: Member
) -> None:
    asked = make_request(household, member)
    sent = {"take-minutes": "15", "take-by": (TODAY - DAY).isoformat()}
    answer = desk.post(url("take", household, asked.pk), sent)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "That day is over." in text and 'value="15"' in text
    assert not Task.objects.exists()


def test_a_child_is_not_offered_what_is_dangerous(
    client_for: SignedIn, household: Household, organiser: Member, child: Member
) -> None:
    asked = make_request(household, organiser, "A radiator drips", kind="repair")
    client = client_for(child)
    page = client.get(url("request", household, asked.pk)).content.decode()
    assert "I’ll do it" not in page and "I’ll find somebody" not in page
    sent = {"take-minutes": "15", "take-by": TODAY.isoformat(), "arrange": "1"}
    answer = client.post(url("take", household, asked.pk), sent)
    assert answer.status_code == 422
    assert not Task.objects.exists()


def test_a_dangerous_request_of_a_child_is_hidden_from_other_children(
    client_for: SignedIn, household: Household, child: Member, member: Member
) -> None:
    asked = make_request(household, child, "The socket is loose", kind="repair")
    photo = make_photo(asked)
    teen = make_member(household, "Ilo", age_band="12_15")
    for one, status in ((teen, 404), (child, 200), (member, 200)):
        client = client_for(one)
        assert client.get(url("request", household, asked.pk)).status_code == status
        assert client.get(url("photo", household, photo.pk)).status_code == status
        listed = client.get(url("list", household)).content.decode()
        assert ("The socket is loose" in listed) == (status == 200)


def test_done_thanked_and_kept_with_what_it_took(
    desk: Client, phone: Client, household: Household, member: Member, organiser: Member
) -> None:
    bathroom = make_area(household, "Bathroom")
    asked = taken_by(organiser, make_request(household, member, area=bathroom))
    done = {"done-done_on": "2026-03-11", "done-parts": "Washer", "done-cost": "2.40"}
    done |= {"done-warranty_until": "2028-03-11"}
    for _ in range(2):
        assert desk.post(url("finish", household, asked.pk), done).status_code == 302
    today = phone.get(reverse("requests:list", args=[household.pk])).content.decode()
    assert "Done for you" in today and url("thank", household, asked.pk) in today
    for _ in range(2):
        assert phone.post(url("thank", household, asked.pk)).status_code == 302
    text = phone.get(url("area", household, bathroom.pk)).content.decode()
    for words in ("Done by Marit yesterday, and thanked", "2.40", "Washer", "11 March 2028"):
        assert words in text
    areas = desk.get(reverse("areas:area", args=[household.pk, bathroom.pk])).content.decode()
    assert url("area", household, bathroom.pk) in areas


def test_an_amount_that_is_none_is_said_so(
    desk: Client, household: Household, member: Member
) -> None:
    asked = make_request(household, member)
    sent = {"estimate-who": "Imre", "estimate-amount": "a lot"}
    answer = desk.post(url("estimate", household, asked.pk), sent)
    assert answer.status_code == 422
    assert "Type an amount, for example 45.50." in answer.content.decode()
    sent["estimate-amount"] = "45.50"
    for _ in range(2):
        assert desk.post(url("estimate", household, asked.pk), sent).status_code == 302
    assert Estimate.objects.get().amount == Decimal("45.50")
    choose = url("choose", household, Estimate.objects.get().pk)
    for _ in range(2):
        assert desk.post(choose).status_code == 302
    asked.refresh_from_db()
    assert asked.standing == Standing.OUTSIDE


# Pictures


def test_a_picture_is_served_as_nothing_but_a_picture(
    phone: Client, household: Household, member: Member
) -> None:
    photo = make_photo(make_request(household, member))
    answer = phone.get(url("photo", household, photo.pk))
    assert answer["Content-Type"] == "image/webp"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert answer["Cache-Control"].startswith("private")
    assert photo.name not in url("photo", household, photo.pk)


def test_taking_a_picture_away_takes_the_file_too(
    phone: Client, client_for: SignedIn, household: Household, member: Member, child: Member
) -> None:
    photo = make_photo(make_request(household, member))
    path = photos.path_of(photo.name)
    away = url("photo_away", household, photo.pk)
    assert client_for(child).post(away).status_code == 403
    assert path.exists()
    assert phone.post(away).status_code == 302
    assert not path.exists()
    assert phone.post(away).status_code == 404


# A text for somebody outside


def test_the_text_names_no_child_and_no_address_unless_chosen(
    desk: Client, household: Household, child: Member, organiser: Member
) -> None:
    make_member(household, "Ilo", age_band="16_17")
    keeping.set_help(household=household, fields={"address": "4 Mill Lane"})
    room = make_area(household, "Oona’s room")
    asked = make_request(
        household,
        child,
        "OONA’s lamp is dark",
        details="Ilo and oona cannot read. Loonatics may.",
        kind="repair",
        area=room,
    )
    text = desk.get(url("text", household, asked.pk)).context["text"]
    assert not re.search(r"\b(oona|ilo)\b", text, re.IGNORECASE)
    assert "our child’s lamp is dark" in text and "Where: our child’s room" in text
    assert "Loonatics" in text, "only whole names"
    assert "Mill Lane" not in text and "Marit" not in text
    with_address = desk.get(url("text", household, asked.pk), {"address": "1"}).context["text"]
    assert with_address.endswith("Where we live: 4 Mill Lane")


# People outside and the register


def test_people_outside_are_added_changed_put_away_and_back(
    desk: Client, household: Household
) -> None:
    sent = {"name": "Imre Volk", "trade": "Electrician", "phone": "01632 960127"}
    assert desk.post(url("outsider_add", household), sent).status_code == 302
    again = desk.post(url("outsider_add", household), sent)
    assert again.status_code == 422
    assert "Somebody of that name is on the list already." in again.content.decode()
    row = Outsider.objects.get()
    changed = {**sent, "phone": "01632 960128"}
    assert desk.post(url("outsider", household, row.pk), changed).status_code == 302
    assert 'href="tel:01632960128"' in desk.get(url("outsiders", household)).content.decode()
    for _ in range(2):
        assert desk.post(url("outsider_archive", household, row.pk)).status_code == 302
    assert desk.get(url("outsider", household, row.pk)).status_code == 404
    for _ in range(2):
        assert desk.post(url("outsider_restore", household, row.pk)).status_code == 302
    assert desk.get(url("outsider", household, row.pk)).status_code == 200


@pytest.mark.parametrize(
    "address", ["javascript:alert(1)", "ftp://example.org/a", "file:///etc/passwd", "data:,x"]
)
def test_a_manual_is_a_web_address(desk: Client, household: Household, address: str) -> None:
    sent = {"name": "Dryer", "manual": address}
    answer = desk.post(url("appliance_add", household), sent)
    assert answer.status_code == 422
    assert "Type a web address that begins with https:// or http://." in answer.content.decode()
    assert not Appliance.objects.exists()


def test_an_appliance_gets_its_upkeep_with_the_source(desk: Client, household: Household) -> None:
    utility = make_area(household, "Utility room")
    sent = {
        "name": "Tumble dryer",
        "area": utility.pk,
        "kind": "dryer",
        "manual": "https://example.org/manual",
        "warranty_until": "2026-04-01",
    }
    assert desk.post(url("appliance_add", household), sent).status_code == 302
    row = Appliance.objects.get()
    page = desk.get(url("appliance", household, row.pk)).content.decode()
    assert 'href="https://example.org/manual" rel="noreferrer noopener"' in page
    # tests/data/maintenance_intervals.csv: dryer / clean vent pipe, once a year, NFPA reprinted.
    assert "Clear the dryer’s pipe" in page and "NFPA" in page
    key = {"key": "dryer / clean vent pipe"}
    for _ in range(2):
        assert desk.post(url("service", household, row.pk), key).status_code == 302
    chore = Chore.objects.get()
    assert (chore.area, chore.repeat, chore.every, chore.unit) == (
        utility,
        "after_done",
        12,
        "months",
    )
    assert list(row.chores.all()) == [chore]
    assert desk.post(url("service", household, row.pk), {"key": "x"}).status_code == 422


def test_the_register_tells_of_requests_and_warranties(
    desk: Client, household: Household, member: Member
) -> None:
    dryer = make_appliance(household, warranty_until=TODAY + 30 * DAY)
    make_request(household, member, "It squeaks", appliance=dryer)
    page = desk.get(url("register", household)).content.decode()
    assert "1 open" in page and "warranty until 11 April 2026" in page
    assert "It squeaks" in desk.get(url("appliance", household, dryer.pk)).content.decode()
    sent = {"name": "Old dryer", "warranty_until": "2026-01-01"}
    assert desk.post(url("appliance_change", household, dryer.pk), sent).status_code == 302
    for name, status in (("archive", 404), ("restore", 200)):
        for _ in range(2):
            desk.post(url(f"appliance_{name}", household, dryer.pk))
        assert desk.get(url("appliance", household, dryer.pk)).status_code == status


# Equal cost


@pytest.mark.parametrize("name", ["list", "outsiders", "register", "ask"])
def test_pages_ask_the_same_for_three_and_for_thirty(
    name: str, desk: Client, household: Household, member: Member, organiser: Member
) -> None:
    kitchen = make_area(household, "Kitchen")

    def grow(to: int) -> int:
        while Request.objects.count() < to:
            number = Request.objects.count()
            imre = make_outsider(household, f"Imre {number}")
            make_appliance(household, f"Dryer {number}", area=kitchen)
            make_request(household, member, area=kitchen)
            taken_by(organiser, make_request(household, member, "Carry it"))
            mine = make_request(household, organiser, "Look at it")
            actions.go_outside(asked=mine, actor=organiser, outsider=imre, now=NOW)
            actions.finish(asked=mine, actor=organiser, outcome=actions.Outcome(), now=NOW)
        with CaptureQueriesContext(connection) as asked:
            assert desk.get(url(name, household)).status_code == 200
        return len(asked)

    grow(3)
    assert grow(3) == grow(30)


def test_a_request_asks_the_same_with_more_around_it(
    desk: Client, household: Household, member: Member
) -> None:
    asked = make_request(household, member)

    def cost(times: int) -> int:
        for number in range(times):
            make_photo(asked)
            Estimate.objects.create(
                household=household, request=asked, who=f"Imre {number}", amount=number
            )
        with CaptureQueriesContext(connection) as queries_made:
            assert desk.get(url("request", household, asked.pk)).status_code == 200
        return len(queries_made)

    cost(3)
    assert cost(0) == cost(9)


def test_standing_is_read_with_the_list(household: Household, member: Member) -> None:
    taken_by(member, make_request(household, member))
    found = list(queries.with_people(queries.visible(household, member)))
    with CaptureQueriesContext(connection) as asked:
        assert [stands(each) for each in found] == [Standing.TAKEN]
    assert not len(asked)

"""The shared screen asks for help for whoever touches their mark."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from household.devices.models import Notice
from household.people.models import Household, Member
from household.requests.models import Request
from tests.factories import screen_session

pytestmark = pytest.mark.django_db


@pytest.fixture
def screen(settings: Any, household: Household, organiser: Member) -> Client:
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = screen_session(household, organiser)
    return client


def url(name: str, household: Household, *more: int) -> str:
    return reverse(f"requests:{name}", args=[household.pk, *more])


def test_the_board_leads_to_asking(screen: Client, household: Household, child: Member) -> None:
    board = screen.get(reverse("web:board", args=[household.pk])).content.decode()
    assert url("screen_ask", household) in board
    page = screen.get(url("screen_ask", household)).content.decode()
    assert "Who asks?" in page and "Oona" in page


def test_a_mark_must_be_touched(screen: Client, household: Household, child: Member) -> None:
    sent = {"what": "A lift, please", "kind": "lift", "urgency": "soon"}
    answer = screen.post(url("screen_ask", household), sent)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Touch your mark, so that it is known who asks." in text
    assert 'value="A lift, please"' in text
    assert not Request.objects.exists()


def test_what_a_child_asks_there_is_theirs_and_goes_to_adults_if_dangerous(
    screen: Client, household: Household, child: Member, member: Member
) -> None:
    sent = {"what": "The socket sparks", "kind": "repair", "urgency": "now", "asker": child.pk}
    answer = screen.post(url("screen_ask", household), sent)
    asked = Request.objects.get()
    assert (asked.asker, asked.for_adults) == (child, True)
    assert asked.device and asked.device.label == "Kitchen screen"
    assert Notice.objects.filter(to=member, words__contains="The socket sparks").exists()
    page = screen.get(answer["Location"]).content.decode()
    assert "The grown-ups are asked." in page
    assert "Get safe first" in page and "data-idle" not in page


def test_a_member_of_another_home_is_no_mark_here(
    screen: Client, household: Household, outsider: Member
) -> None:
    sent = {"what": "Hello", "kind": "other", "urgency": "soon", "asker": outsider.pk}
    assert screen.post(url("screen_ask", household), sent).status_code == 422


def test_the_screen_is_told_what_to_beware_of(screen: Client, household: Household) -> None:
    page = screen.post(url("screen_look", household), {"what": "gas smell", "kind": "other"})
    assert "Everybody out, now" in page.content.decode()
    assert "Get safe first" in screen.get(url("screen_emergency", household)).content.decode()

"""Signing in by name and password, signing out, and going to another household."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from household.people.models import Account, Household, Member
from tests.factories import PASSWORD, make_account, make_household, make_member

pytestmark = pytest.mark.django_db
SIGN_IN = "/sign-in/"


@pytest.mark.usefixtures("household")
def test_page_asks_for_name_and_password(client: Client) -> None:
    page = client.get(SIGN_IN)
    assert page.status_code == 200
    assert b'name="username"' in page.content and b'name="password"' in page.content


@pytest.mark.parametrize("name", ["dev", "Dev", " DEV "])
def test_name_may_be_typed_in_any_case(client: Client, member: Member, name: str) -> None:
    answer = client.post(SIGN_IN, {"username": name, "password": PASSWORD})
    assert answer.status_code == 302 and answer["Location"] == "/"
    assert client.session["_auth_user_id"] == str(member.account_id)


def test_names_with_letters_beyond_ascii_may_be_typed_in_any_case(client: Client) -> None:
    account = make_account("Élodie")
    client.post(SIGN_IN, {"username": "éLODIE", "password": PASSWORD})
    assert client.session["_auth_user_id"] == str(account.pk)


@pytest.mark.parametrize(
    ("name", "password"), [("dev", "wrong-one-26"), ("nobody", PASSWORD), ("nobody", "another-26")]
)
def test_what_was_wrong_is_not_told_and_the_name_is_kept(
    client: Client, member: Member, name: str, password: str
) -> None:
    answer = client.post(SIGN_IN, {"username": name, "password": password})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "That name and that password do not belong together." in text
    assert f'value="{name}"' in text and password not in text
    assert "_auth_user_id" not in client.session


def test_missing_password_is_named(client: Client) -> None:
    answer = client.post(SIGN_IN, {"username": "dev", "password": ""})
    assert answer.status_code == 422
    assert b"Type your password." in answer.content


def test_goes_back_to_the_page_asked_for(
    client: Client, household: Household, organiser: Member
) -> None:
    asked = reverse("people:members", args=[household.pk])
    to_sign_in = client.get(asked)
    assert to_sign_in["Location"] == f"{SIGN_IN}?next={asked}"
    page = client.get(to_sign_in["Location"])
    assert f'name="next" value="{asked}"' in page.content.decode()
    answer = client.post(SIGN_IN, {"username": "marit", "password": PASSWORD, "next": asked})
    assert answer["Location"] == asked


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org", "javascript:x"])
def test_never_leads_to_another_site(client: Client, member: Member, elsewhere: str) -> None:
    sent = {"username": "dev", "password": PASSWORD, "next": elsewhere}
    assert client.post(SIGN_IN, sent)["Location"] == "/"


def test_signed_in_already_goes_home(
    client_for: Callable[[Member], Client], member: Member
) -> None:
    assert client_for(member).get(SIGN_IN)["Location"] == "/"


def test_who_lives_nowhere_any_more_cannot_sign_in(client: Client, member: Member) -> None:
    Account.objects.filter(pk=member.account_id).update(is_active=False)
    assert client.post(SIGN_IN, {"username": "dev", "password": PASSWORD}).status_code == 422


@pytest.mark.usefixtures("household")
def test_demo_sign_ins_are_shown_only_while_the_demo_is_loaded(
    client: Client, settings: Any
) -> None:
    assert b"demo" not in client.get(SIGN_IN).content
    person = {
        "name": "marit",
        "password": "marit-larch-26",
        "shape": "disc",
        "hue": "blue",
        "about": "plans the home",
    }
    Path(settings.DATA_DIR, "demo_signins.json").write_text(json.dumps([person]))
    page = client.get(SIGN_IN).content.decode()
    assert "marit-larch-26" in page and "plans the home" in page


def test_sign_out_ends_the_session_and_may_be_sent_twice(
    client_for: Callable[[Member], Client], member: Member
) -> None:
    client = client_for(member)
    assert client.post("/sign-out/")["Location"] == SIGN_IN
    assert "_auth_user_id" not in client.session
    assert client.post("/sign-out/")["Location"] == SIGN_IN
    assert client.get("/sign-out/").status_code == 405


def test_switching_opens_the_other_household_from_now_on(
    client_for: Callable[[Member], Client], member: Member
) -> None:
    other = make_household(name="Quay House")
    make_member(other, "Dev", account=member.account)
    client = client_for(member)
    for _ in range(2):
        answer = client.post(reverse("people:switch", args=[other.pk]))
        assert answer["Location"] == reverse("web:today", args=[other.pk])
    assert client.get("/")["Location"] == reverse("web:today", args=[other.pk])


def test_nobody_switches_to_a_household_they_do_not_belong_to(
    client_for: Callable[[Member], Client], member: Member, outsider: Member
) -> None:
    answer = client_for(member).post(reverse("people:switch", args=[outsider.household_id]))
    assert answer.status_code == 404

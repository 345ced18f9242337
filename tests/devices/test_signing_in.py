"""Typed codes, what a session opens, and the devices and notices that a sign-in leaves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
import time_machine
from django.test import Client

from household.devices.actions import make_code
from household.devices.models import Code, Device, Notice
from household.people.actions import archive_member
from household.people.models import Account, Household, Member, Role
from tests.factories import NOW, PASSWORD, make_household, make_member

pytestmark = pytest.mark.django_db
PHONE = (
    "Mozilla/5.0 (Linux; Android 15; Pixel) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/142.0.0.0 Mobile Safari/537.36"
)


def browser() -> Client:
    return Client(headers={"user-agent": PHONE})


def by_password(client: Client, name: str = "dev") -> Client:
    assert client.post("/sign-in/", {"username": name, "password": PASSWORD}).status_code == 302
    return client


def test_typed_code_asks_first_and_works_once(
    household: Household, organiser: Member, child: Member
) -> None:
    _, secret = make_code(household=household, by=organiser, now=NOW, member=child)
    typed = secret.typed.lower().replace("-", " ")
    phone = browser()
    hello = phone.post("/in/", {"code": typed})
    assert "Hello, Oona" in hello.content.decode() and Device.objects.count() == 0
    answer = phone.post("/in/", {"code": typed, "yes": "1"})
    assert answer["Location"] == f"/h/{household.pk}/today/"
    again = browser().post("/in/", {"code": typed, "yes": "1"})
    assert again.status_code == 422
    assert "does not open anything any more" in again.content.decode()


@pytest.mark.parametrize("typed", ["", "ABC", "ABCDEFGHJ", "!!!!!!!!"])
def test_what_cannot_be_a_code_is_said_and_kept(db: None, typed: str) -> None:
    make_household()
    answer = Client().post("/in/", {"code": typed})
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.content.decode() or not typed


def test_used_expired_and_unknown_links_are_told_alike(
    household: Household, organiser: Member, child: Member
) -> None:
    used, expired = (
        make_code(household=household, by=organiser, now=NOW, member=who)[1].link
        for who in (child, organiser)
    )
    browser().post(f"/in/{used}/")
    with time_machine.travel(NOW + timedelta(minutes=10), tick=False):
        pages = {browser().get(f"/in/{link}/").content for link in (used, expired, "x" * 43)}
        assert browser().post(f"/in/{expired}/").status_code == 404
    assert len(pages) == 1


def test_code_of_somebody_who_left_or_from_somebody_who_left_is_closed(
    household: Household, organiser: Member, child: Member, now: datetime
) -> None:
    other = make_member(household, "Rolf", role=Role.ORGANISER)
    _, of_child = make_code(household=household, by=organiser, now=now, member=child)
    _, from_other = make_code(household=household, by=other, now=now, member=organiser)
    for member in (child, other):
        archive_member(member=member, now=now)
    for secret in (of_child, from_other):
        assert browser().get(f"/in/{secret.link}/").status_code == 404


def test_member_without_an_account_gets_one_that_no_password_opens(
    household: Household, organiser: Member, now: datetime
) -> None:
    small = make_member(household, "Jonah", role=Role.CHILD, signs_in=False)
    _, secret = make_code(household=household, by=organiser, now=now, member=small)
    assert browser().post(f"/in/{secret.link}/").status_code == 302
    small.refresh_from_db()
    assert small.account is not None and not small.account.has_usable_password()
    # Looking alone makes none.
    other = make_member(household, "Ida", role=Role.CHILD, signs_in=False)
    _, secret = make_code(household=household, by=organiser, now=now, member=other)
    browser().get(f"/in/{secret.link}/")
    other.refresh_from_db()
    assert other.account is None


def test_code_of_one_home_opens_no_other_home_of_the_same_person(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    elsewhere = make_household(name="Quay House")
    make_member(elsewhere, "Dev", account=member.account, role=Role.ORGANISER)
    _, secret = make_code(household=household, by=organiser, now=now, member=member)
    phone = browser()
    phone.post(f"/in/{secret.link}/")
    assert phone.get(f"/h/{household.pk}/today/").status_code == 200
    for path in ("today/", "members/", "more/"):
        assert phone.get(f"/h/{elsewhere.pk}/{path}").status_code == 404
    assert phone.post(f"/h/{elsewhere.pk}/switch/").status_code == 404
    assert "Quay House" not in phone.get(f"/h/{household.pk}/more/").content.decode()
    assert by_password(browser()).get(f"/h/{elsewhere.pk}/today/").status_code == 200


def test_codes_of_two_homes_open_both_on_one_phone(
    household: Household, organiser: Member, child: Member, now: datetime
) -> None:
    second = make_household(name="Quay House")
    there = make_member(second, "Oona", account=child.account, role=Role.CHILD)
    host = make_member(second, "Sten", role=Role.ORGANISER)
    phone = browser()
    for home, by, whose in ((household, organiser, child), (second, host, there)):
        _, secret = make_code(household=home, by=by, now=now, member=whose)
        phone.post(f"/in/{secret.link}/")
    for home in (household, second):
        assert phone.get(f"/h/{home.pk}/today/").status_code == 200


def test_session_gets_a_new_key_at_each_sign_in(
    household: Household, organiser: Member, member: Member, child: Member, now: datetime
) -> None:
    phone = by_password(browser())
    before = phone.session.session_key
    _, secret = make_code(household=household, by=organiser, now=now, member=child)
    phone.post(f"/in/{secret.link}/")
    assert phone.session.session_key != before
    assert phone.session["_auth_user_id"] == str(child.account_id)
    # Nobody is left signed in where somebody else is now.
    assert not Device.objects.filter(session_key=before).exists()


def test_password_sign_in_is_listed_and_told_to_organisers_once(
    household: Household, organiser: Member, member: Member
) -> None:
    phone = by_password(browser())
    device = Device.objects.get()
    assert (device.member, device.label) == (member, "Android phone, Chrome")
    assert [notice.to for notice in Notice.objects.all()] == [organiser]
    # The same browser again is no news; another one is.
    phone.post("/sign-out/")
    by_password(phone)
    assert Device.objects.count() == Notice.objects.count() == 1
    by_password(browser())
    assert Device.objects.count() == Notice.objects.count() == 2


def test_organisers_read_of_a_new_device_on_today_until_they_say_so(
    household: Household, organiser: Member, member: Member
) -> None:
    laptop = by_password(browser(), "marit")
    today = f"/h/{household.pk}/today/"
    # Not of the device that they are looking from.
    assert "A new device" not in laptop.get(today).content.decode()
    by_password(browser())
    page = laptop.get(today).content.decode()
    assert "A new device of Dev’s since 09:00: Android phone, Chrome." in page
    notice = Notice.objects.get(device__member=member)
    laptop.post(f"/h/{household.pk}/devices/notices/{notice.pk}/seen/")
    assert "A new device" not in laptop.get(today).content.decode()


def test_hello_names_the_device_the_home_and_who_may_end_it(
    household: Household, organiser: Member, child: Member, now: datetime
) -> None:
    _, secret = make_code(household=household, by=organiser, now=now, member=child)
    page = browser().get(f"/in/{secret.link}/").content.decode()
    assert "This phone will show your list for Larch Cottage." in page
    assert "Marit can switch this phone off later." in page
    assert "Yes, I am Oona" in page and "I am someone else" in page


def test_code_page_shows_both_secrets_and_never_by_get(
    household: Household, organiser: Member, child: Member, client_for: Callable[[Member], Client]
) -> None:
    laptop = client_for(organiser)
    address = f"/h/{household.pk}/devices/code/{child.pk}/"
    assert laptop.get(address).status_code == 200 and not Code.objects.exists()
    answer = laptop.post(address)
    page = answer.content.decode()
    assert answer["Cache-Control"].startswith("max-age=0") and "no-store" in answer["Cache-Control"]
    assert 'class="segno"' in page and "style=" not in page
    code = Code.objects.get()
    state = f"/h/{household.pk}/devices/codes/{code.pk}/"
    assert laptop.get(state).status_code == 204
    with time_machine.travel(NOW + timedelta(minutes=10), tick=False):
        assert "This code has ended" in laptop.get(state).content.decode()


def test_accounts_are_not_made_twice_at_two_sign_ins(
    household: Household, organiser: Member, now: datetime
) -> None:
    small = make_member(household, "Jonah", role=Role.CHILD, signs_in=False)
    accounts = Account.objects.count()
    for _ in range(2):
        _, secret = make_code(household=household, by=organiser, now=now, member=small)
        browser().post(f"/in/{secret.link}/")
    assert Account.objects.count() == accounts + 1

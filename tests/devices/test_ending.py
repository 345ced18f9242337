"""Renaming and ending devices; what ends sessions; what keeps them alive."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.test import Client

from household.devices.actions import let_in, make_code
from household.devices.models import Device
from household.people.models import Household, Member, Role
from tests.factories import NOW, PASSWORD, make_household, make_member

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]


@pytest.fixture(autouse=True)
def forgotten() -> None:
    cache.clear()


def signed_in(name: str) -> Client:
    client = Client()
    assert client.post("/sign-in/", {"username": name, "password": PASSWORD}).status_code == 302
    return client


def device_of(member: Member) -> Device:
    return Device.objects.get(member=member)


def test_organiser_sees_all_devices_and_others_their_own(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    laptop, phone = signed_in("marit"), signed_in("dev")
    signed_in("oona")
    address = f"/h/{household.pk}/devices/"
    page = laptop.get(address).content.decode()
    assert all(name in page for name in ("Marit", "Dev", "Oona"))
    assert page.count("Switch off") == 3 and "this one" in page
    own = phone.get(address).content.decode()
    assert own.count("Switch off") == 1 and "Oona" not in own


def test_list_has_as_many_queries_for_thirty_devices_as_for_three(
    household: Household,
    organiser: Member,
    client_for: ClientFor,
    django_assert_max_num_queries: Any,
) -> None:
    client, counts = client_for(organiser), []
    for number in (3, 30):
        for place in range(number):
            let_in(
                members=[organiser],
                session_key=f"{number}-{place}",
                label="A phone",
                now=NOW,
                key=uuid4(),
            )
        client.get(f"/h/{household.pk}/devices/")
        with django_assert_max_num_queries(8) as queries:
            client.get(f"/h/{household.pk}/devices/")
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_switching_off_ends_the_session_at_once_and_is_told_when_it_comes_back(
    household: Household, organiser: Member, member: Member
) -> None:
    laptop, phone = signed_in("marit"), signed_in("dev")
    device = device_of(member)
    for _ in range(2):
        laptop.post(f"/h/{household.pk}/devices/{device.pk}/off/")
    assert phone.get(f"/h/{household.pk}/today/").status_code == 302
    assert "Signed in nowhere." in laptop.get(f"/h/{household.pk}/devices/").content.decode()
    told = device.notices.count()
    phone.post("/sign-in/", {"username": "dev", "password": PASSWORD})
    device.refresh_from_db()
    assert device.ended_at is None and device.notices.count() == told + 1


def test_members_and_children_end_and_rename_only_their_own(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    signed_in("marit")
    phone, small = signed_in("dev"), signed_in("oona")
    for whose, client in ((member, small), (organiser, phone), (organiser, small)):
        base = f"/h/{household.pk}/devices/{device_of(whose).pk}/"
        assert client.post(base, {"label": "Mine"}).status_code == 404
        assert client.post(f"{base}off/").status_code == 404
    base = f"/h/{household.pk}/devices/{device_of(child).pk}/"
    small.post(base, {"label": "Oona’s phone"})
    assert device_of(child).label == "Oona’s phone"
    assert small.post(base, {"label": " "}).status_code == 422
    assert small.post(f"{base}off/")["Location"] == "/sign-in/"
    assert small.get(f"/h/{household.pk}/today/").status_code == 302


def test_organiser_of_another_household_changes_nothing(
    household: Household, member: Member, outsider: Member, client_for: ClientFor
) -> None:
    phone = signed_in("dev")
    device = device_of(member)
    for home in (household.pk, outsider.household_id):
        address = f"/h/{home}/devices/{device.pk}/off/"
        assert client_for(outsider).post(address).status_code == 404
    assert phone.get(f"/h/{household.pk}/today/").status_code == 200


def test_ending_a_device_in_one_home_ends_it_in_the_other_too(
    household: Household, organiser: Member, member: Member
) -> None:
    other = make_household(name="Quay House")
    make_member(other, "Dev", account=member.account)
    laptop, phone = signed_in("marit"), signed_in("dev")
    assert Device.objects.exclude(member__household=household).get().household == other
    laptop.post(f"/h/{household.pk}/devices/{device_of(member).pk}/off/")
    assert phone.get(f"/h/{other.pk}/today/").status_code == 302


def test_member_who_leaves_is_signed_out_for_good(
    household: Household, organiser: Member, child: Member
) -> None:
    laptop, phone = signed_in("marit"), signed_in("oona")
    _, secret = make_code(household=household, by=organiser, now=NOW, member=child)
    base = f"/h/{household.pk}/members/{child.pk}/"
    laptop.post(f"{base}archive/")
    assert phone.get(f"/h/{household.pk}/today/").status_code == 302
    laptop.post(f"{base}restore/")
    assert phone.get(f"/h/{household.pk}/today/").status_code == 302
    assert Client().get(f"/in/{secret.link}/").status_code == 404


def test_new_password_ends_other_sessions_and_keeps_this_one(
    household: Household, member: Member
) -> None:
    phone, laptop = signed_in("dev"), signed_in("dev")
    assert Device.objects.exclude(session_key="").count() == 2
    changed = {"theme": "", "password": PASSWORD, "new_password": "rowan-and-larch-27"}
    assert laptop.post(f"/h/{household.pk}/profile/", changed).status_code == 302
    today = f"/h/{household.pk}/today/"
    assert laptop.get(today).status_code == 200
    assert phone.get(today).status_code == 302
    # The rows follow: this session goes on under a new key, the other is signed in nowhere.
    assert Device.objects.exclude(session_key="").get().session_key == laptop.session.session_key


def test_signing_out_takes_the_device_off_the_list(household: Household, member: Member) -> None:
    phone = signed_in("dev")
    phone.post("/sign-out/")
    assert device_of(member).session_key == "" and device_of(member).ended_at is None


def test_session_lives_half_a_year_and_is_renewed_once_a_day(
    household: Household, member: Member
) -> None:
    phone = signed_in("dev")
    today = f"/h/{household.pk}/today/"
    phone.get(today)

    def ends() -> datetime:
        return Session.objects.get(session_key=phone.session.session_key).expire_date

    assert ends() == NOW + timedelta(days=180)
    with time_machine.travel(NOW + timedelta(hours=2), tick=False):
        answer = phone.get(today)
        assert "evenhouse_session" not in answer.cookies
        assert ends() == NOW + timedelta(days=180)
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        assert phone.get(today).cookies["evenhouse_session"]["max-age"] == 180 * 24 * 3600
        assert ends() == NOW + timedelta(days=181)
    with time_machine.travel(NOW + timedelta(days=182), tick=False):
        assert phone.get(today).status_code == 302


def test_seen_is_noted_once_an_hour_and_costs_no_query_between(
    household: Household, member: Member, django_assert_num_queries: Any
) -> None:
    phone = signed_in("dev")
    switch = f"/h/{household.pk}/glossary/"
    phone.get(switch)
    cache.clear()
    with time_machine.travel(NOW + timedelta(hours=1), tick=False):
        phone.get(switch)
        assert device_of(member).seen_at == NOW + timedelta(hours=1)
        with django_assert_num_queries(3):  # the session, the account, the member
            phone.get(switch)


def test_organiser_cannot_be_told_of_devices_after_leaving(
    household: Household, organiser: Member, member: Member
) -> None:
    make_member(household, "Rolf", role=Role.ORGANISER)
    signed_in("marit").post(f"/h/{household.pk}/members/{organiser.pk}/archive/")
    signed_in("dev")
    assert not organiser.notices.filter(device__member=member).exists()

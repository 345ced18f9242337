"""Signing a device in by a code: once, for ten minutes, and never by looking."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client

from household.chores.models import State
from household.devices.actions import make_code, switch_off
from household.devices.models import Code, Device, Notice
from household.people.models import Household, Member
from tests.factories import NOW, make_task

pytestmark = pytest.mark.django_db


def code_for(household: Household, organiser: Member, member: Member | None) -> tuple[Code, str]:
    code, secret = make_code(household=household, by=organiser, now=NOW, member=member)
    return code, secret.link


def test_looking_changes_nothing_and_the_answer_works_once(
    household: Household, organiser: Member, child: Member
) -> None:
    code, link = code_for(household, organiser, child)
    phone = Client()
    for _ in range(2):
        assert "Hello, Oona" in phone.get(f"/in/{link}/").content.decode()
    code.refresh_from_db()
    assert code.used_at is None
    answer = phone.post(f"/in/{link}/", follow=True)
    assert answer.request["PATH_INFO"] == f"/h/{household.pk}/today/"
    assert Device.objects.get().member == child
    assert Client().post(f"/in/{link}/").status_code == 404
    assert Notice.objects.filter(to=organiser).exists()


def test_a_code_is_over_after_ten_minutes(
    household: Household, organiser: Member, child: Member
) -> None:
    code, link = code_for(household, organiser, child)
    assert code.expires_at == NOW + timedelta(minutes=10)
    code.expires_at = NOW
    code.save()
    assert Client().get(f"/in/{link}/").status_code == 404


def test_a_new_code_stops_the_one_before(
    household: Household, organiser: Member, child: Member
) -> None:
    _, first = code_for(household, organiser, child)
    code_for(household, organiser, child)
    assert Client().get(f"/in/{first}/").status_code == 404


def test_the_secrets_themselves_are_not_kept(
    household: Household, organiser: Member, child: Member
) -> None:
    code, secret = make_code(household=household, by=organiser, now=NOW, member=child)
    assert secret.link not in (code.link_hash, code.typed_hash)
    assert len(secret.typed.replace("-", "")) == 8


def test_switching_a_device_off_ends_its_session(
    household: Household, organiser: Member, child: Member
) -> None:
    _, link = code_for(household, organiser, child)
    phone = Client()
    phone.post(f"/in/{link}/")
    assert phone.get(f"/h/{household.pk}/today/").status_code == 200
    switch_off(device=Device.objects.get(), by=organiser, now=NOW)
    assert phone.get(f"/h/{household.pk}/today/").status_code == 302


def test_a_shared_screen_sees_the_board_and_nothing_else(
    household: Household, organiser: Member, member: Member
) -> None:
    task = make_task(household, "Water the plants", member=member)
    _, link = code_for(household, organiser, None)
    screen = Client()
    screen.post(f"/in/{link}/")
    assert "Water the plants" in screen.get(f"/h/{household.pk}/board/").content.decode()
    for path in ("today/", "chores/", "overview/", "settings/", "members/", "more/", "week/"):
        assert screen.get(f"/h/{household.pk}/{path}").status_code in (302, 404), path
    screen.post(f"/h/{household.pk}/board/tasks/{task.pk}/tick/", {"member": member.pk})
    task.refresh_from_db()
    assert (task.state, task.done_by) == (State.DONE, member)


def test_a_stranger_and_a_child_make_no_codes(
    household: Household, organiser: Member, child: Member, outsider: Member
) -> None:
    for somebody in (child, outsider):
        client = Client()
        assert somebody.account is not None
        client.force_login(somebody.account)
        address = f"/h/{household.pk}/devices/code/{organiser.pk}/"
        assert client.post(address).status_code in (403, 404)
    assert not Code.objects.exists()

"""A licence is a grown-up's, is kept among the skills, and stands in the list of members."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from household.people.models import Member
from tests.people.test_pages import typed

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]


def test_a_licence_is_kept_and_shown(client_for: SignedIn, organiser: Member) -> None:
    desk, home = client_for(organiser), organiser.household
    sent = typed(skills=["tools"], licences=["licensed_gas"])
    assert desk.post(reverse("people:add", args=[home.pk]), sent).status_code == 302
    member = Member.objects.get(name="Ilo")
    assert member.skills == ["tools", "licensed_gas"]
    listed = desk.get(reverse("people:members", args=[home.pk])).content.decode()
    assert "Uses power tools and licensed for gas" in listed
    page = desk.get(reverse("people:member", args=[home.pk, member.pk])).content.decode()
    assert page.count("checked") >= 2 and "Licensed for gas" in page


def test_a_child_holds_none(client_for: SignedIn, organiser: Member) -> None:
    desk, home = client_for(organiser), organiser.household
    sent = typed(age_band="12_15", licences=["licensed_gas"])
    answer = desk.post(reverse("people:add", args=[home.pk]), sent)
    assert answer.status_code == 422
    assert "Only grown-ups hold a licence." in answer.content.decode()
    assert not Member.objects.filter(name="Ilo").exists()

"""The household's habits: changed, filled with what is usual in a country, and followed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from household.people.models import Household, Member
from tests.factories import TODAY, make_chore

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]
IRELAND = {
    "name": "Larch Cottage",
    "country": "IE",
    "subdivision": "",
    "time_zone": "Europe/Dublin",
    "language": "en-gb",
    "first_weekday": "0",
    "date_order": "dmy",
    "units": "metric",
    "paper": "A4",
}


@pytest.fixture
def desk(client_for: SignedIn, organiser: Member) -> Client:
    return client_for(organiser)


def send(desk: Client, household: Household, **fields: Any) -> Any:
    asked = reverse("people:settings", args=[household.pk])
    return desk.post(asked, {**IRELAND, **fields})


def test_settings_are_kept(desk: Client, household: Household) -> None:
    for _ in range(2):
        answer = send(desk, household, name="Rowan House", date_order="ymd", units="UK")
        assert answer.status_code == 302
    kept = Household.objects.get(pk=household.pk)
    assert (kept.name, kept.date_order, kept.units) == ("Rowan House", "ymd", "UK")
    assert kept.revision == 1


def test_what_is_usual_fills_the_form_and_saves_nothing(desk: Client, household: Household) -> None:
    answer = send(desk, household, name="Rowan House", country="US", usual="1")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "This is what is usual in United States. Nothing is kept yet." in text
    for chosen in (
        'value="Rowan House"',
        '<option value="US" selected>',
        '<option value="America/New_York" selected>',
        '<option value="6" selected>',
    ):
        assert chosen in text
    assert '<option value="CA">California</option>' in text
    kept = Household.objects.get(pk=household.pk)
    assert (kept.name, kept.country, kept.revision) == ("Larch Cottage", "IE", 0)


def test_part_of_the_country_before_is_forgotten(desk: Client, household: Household) -> None:
    Household.objects.filter(pk=household.pk).update(country="GB", subdivision="SCT")
    send(desk, household, country="IE", subdivision="SCT")
    kept = Household.objects.get(pk=household.pk)
    assert (kept.country, kept.subdivision) == ("IE", "")


def test_part_is_kept_where_it_exists_and_refused_where_it_does_not(
    desk: Client, household: Household
) -> None:
    assert send(desk, household, country="GB", subdivision="SCT").status_code == 302
    assert Household.objects.get(pk=household.pk).subdivision == "SCT"
    answer = send(desk, household, country="GB", subdivision="CA")
    assert answer.status_code == 422
    assert "That is not a part of this country." in answer.content.decode()


def test_refused_form_keeps_what_was_typed(desk: Client, household: Household) -> None:
    answer = send(desk, household, name="", time_zone="Moon/Tranquility", paper="Letter")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Type a name" in text and "Choose a time zone from the list." in text
    assert text.count("checked") == 4 and 'value="Letter"' in text
    assert Household.objects.get(pk=household.pk).paper == "A4"


def test_tasks_follow_the_first_day_of_the_week(desk: Client, household: Household) -> None:
    chore = make_chore(household, window="week", starts=date(2026, 3, 9))
    send(desk, household, first_weekday="6")
    later = chore.tasks.filter(opens__gt=TODAY)
    assert {task.opens.weekday() for task in later} == {6}


@pytest.mark.parametrize("zone", ["UTC", "America/Argentina/Buenos_Aires", "Asia/Kathmandu"])
def test_every_place_may_be_chosen(desk: Client, household: Household, zone: str) -> None:
    assert send(desk, household, time_zone=zone).status_code == 302
    assert Household.objects.get(pk=household.pk).time_zone == zone

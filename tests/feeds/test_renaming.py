"""A new name of a member or an area, or days told in another way, make all events newer."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from household.people.models import Household, Member
from tests.areas.test_pages import typed as typed_area
from tests.factories import NOW, make_area, make_chore, make_task
from tests.feeds.test_feed import by_uid
from tests.people.test_pages import typed as typed_member
from tests.people.test_settings import IRELAND

pytestmark = pytest.mark.django_db
Change = Callable[[Client, Household], Any]


def rename_member(browser: Client, household: Household) -> Any:
    member = household.members.get(name="Dev")
    mark = f"{member.hue}-{member.shape}"
    sent = typed_member(name="Devi", mark=mark, username="dev")
    return browser.post(reverse("people:member", args=[household.pk, member.pk]), sent)


def rename_area(browser: Client, household: Household) -> Any:
    area = household.areas.get()
    return browser.post(
        reverse("areas:area", args=[household.pk, area.pk]), typed_area(name="Big kitchen")
    )


def turn_dates_round(browser: Client, household: Household) -> Any:
    sent = {**IRELAND, "name": household.name, "date_order": "ymd"}
    return browser.post(reverse("people:settings", args=[household.pk]), sent)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (rename_member, "(Devi)"),
        (rename_area, "Big kitchen"),
        (turn_dates_round, "Any day: March 12 to 15."),
    ],
)
def test_every_event_says_it_is_newer(
    change: Change,
    words: str,
    household: Household,
    organiser: Member,
    member: Member,
    client_for: Callable[[Member], Client],
    feed_for: Any,
    fetch_feed: Any,
) -> None:
    kitchen = make_area(household, "Kitchen")
    make_chore(household, "Sweep", area=kitchen, rule="FREQ=WEEKLY", who="fixed", fixed=member)
    days = {"day": None, "opens": NOW.date(), "closes": NOW.date() + timedelta(days=3)}
    make_task(household, "Call", area=kitchen, member=member, **days)
    _, token = feed_for(organiser, "household")
    before = by_uid(fetch_feed(token))
    with time_machine.travel(NOW + timedelta(minutes=1), tick=False):
        assert change(client_for(organiser), household).status_code == 302
        after = by_uid(fetch_feed(token))
    assert before.keys() == after.keys() and len(after) > 10
    assert [uid for uid in after if after[uid].to_ical() == before[uid].to_ical()] == []
    for uid, event in after.items():
        assert event["SEQUENCE"] > before[uid]["SEQUENCE"]
        assert event["DTSTAMP"].dt > before[uid]["DTSTAMP"].dt
    told = " ".join(str(event["SUMMARY"]) + str(event["DESCRIPTION"]) for event in after.values())
    assert words in told


def test_other_changes_leave_events_as_they_are(
    household: Household,
    organiser: Member,
    client_for: Callable[[Member], Client],
    feed_for: Any,
    fetch_feed: Any,
) -> None:
    make_task(household, "Call", member=organiser)
    _, token = feed_for(organiser, "household")
    before = fetch_feed(token).content
    with time_machine.travel(NOW + timedelta(minutes=1), tick=False):
        sent = {**IRELAND, "name": household.name, "paper": "Letter"}
        address = reverse("people:settings", args=[household.pk])
        assert client_for(organiser).post(address, sent).status_code == 302
        assert fetch_feed(token).content == before

"""The calendars' pages: whose they are, what they show once, and what they never show."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.feeds.actions import mark_of
from household.feeds.models import Feed, Subscription
from household.people.models import Household, Member
from tests.factories import NOW, make_area, make_task
from tests.feeds.hostile import GOOD

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]
ADDRESS = re.compile(r'value="(http://testserver/f/([A-Za-z0-9_-]{43})\.ics)"')


def at(name: str, household: Household, *more: int) -> str:
    return reverse(f"feeds:{name}", args=[household.pk, *more])


def typed(**fields: Any) -> dict[str, Any]:
    return {"kind": "member", "label": "My phone", "key": str(uuid.uuid4()), **fields}


def test_an_address_is_made_shown_once_and_works(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    make_task(household, "Water the fern", member=organiser)
    browser = client_for(organiser)
    page = browser.post(at("make", household), typed(member=organiser.pk))
    found = ADDRESS.search(page.content.decode())
    assert page.status_code == 200 and found is not None
    assert "no-store" in page["Cache-Control"]
    text = page.content.decode()
    assert f"webcal://testserver/f/{found[2]}.ics" in text
    assert "<svg" in text and "style=" not in text
    assert b"Water the fern" in Client().get(found[1]).content
    again = browser.get(at("calendars", household)).content.decode()
    assert found[2] not in again and "My phone" in again and "Not asked for yet" not in again


def test_only_what_has_to_dos_offers_a_to_do_address(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    browser = client_for(organiser)
    for kind, offered in (("household", True), ("requests", True), ("occasions", False)):
        page = browser.post(at("make", household), typed(kind=kind)).content.decode()
        found = ADDRESS.search(page)
        assert found is not None and ("/tasks.ics" in page) is offered
        todos = Client().get(reverse("feed_door:todos", args=[found[2]]))
        assert todos.status_code == (200 if offered else 404)


def test_the_same_form_sent_twice_makes_one(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    fields = typed(member=organiser.pk)
    browser = client_for(organiser)
    browser.post(at("make", household), fields)
    again = browser.post(at("make", household), fields)
    assert again.status_code == 302 and Feed.objects.count() == 1


def test_an_area_and_a_person_must_be_chosen_where_they_matter(
    household: Household, organiser: Member, client_for: SignedIn, outsider: Member
) -> None:
    browser = client_for(organiser)
    foreign = make_area(outsider.household, "Elsewhere")
    for fields in (
        typed(kind="area"),
        typed(kind="member"),
        typed(kind="area", area=foreign.pk),
        typed(kind="member", member=outsider.pk),
        typed(kind="nonsense"),
        typed(label=""),
    ):
        page = browser.post(at("make", household), fields)
        assert page.status_code == 422 and b"Not made yet." in page.content
    assert not Feed.objects.exists()


def test_a_child_makes_a_calendar_of_its_own_tasks_only(
    household: Household, organiser: Member, child: Member, client_for: SignedIn
) -> None:
    browser = client_for(child)
    for kind in ("household", "area"):
        assert browser.post(at("make", household), typed(kind=kind)).status_code == 422
    page = browser.post(at("make", household), typed(member=organiser.pk))
    assert page.status_code == 200
    assert Feed.objects.get().member == child
    assert "Follow a calendar" not in browser.get(at("calendars", household)).content.decode()


def test_a_new_address_is_made_once_however_often_it_is_sent(
    household: Household, organiser: Member, client_for: SignedIn, feed_for: Any, fetch_feed: Any
) -> None:
    feed, old = feed_for(organiser)
    browser, fields = client_for(organiser), {"standing": mark_of(feed)}
    page = browser.post(at("renew", household, feed.pk), fields)
    found = ADDRESS.search(page.content.decode())
    assert found is not None and "works for a week more" in page.content.decode()
    assert browser.post(at("renew", household, feed.pk), fields).status_code == 409
    assert fetch_feed(old).status_code == fetch_feed(found[2]).status_code == 200


def test_stop_can_be_taken_back(
    household: Household, organiser: Member, client_for: SignedIn, feed_for: Any, fetch_feed: Any
) -> None:
    feed, token = feed_for(organiser)
    browser = client_for(organiser)
    page = browser.post(at("stop", household, feed.pk), follow=True).content.decode()
    assert fetch_feed(token).status_code == 404 and "Let it answer again" in page
    browser.post(at("start", household, feed.pk))
    assert fetch_feed(token).status_code == 200


def test_a_member_touches_their_own_and_an_organiser_may_stop_all(
    household: Household, organiser: Member, member: Member, client_for: SignedIn, feed_for: Any
) -> None:
    theirs, _ = feed_for(organiser)
    own, _ = feed_for(member)
    browser = client_for(member)
    assert browser.post(at("stop", household, theirs.pk)).status_code == 404
    assert browser.post(at("renew", household, theirs.pk)).status_code == 404
    boss = client_for(organiser)
    assert boss.post(at("renew", household, own.pk)).status_code == 404
    assert boss.post(at("stop", household, own.pk)).status_code == 302


def test_an_outsider_finds_nothing(
    household: Household, organiser: Member, outsider: Member, client_for: SignedIn, feed_for: Any
) -> None:
    feed, _ = feed_for(organiser)
    row = Subscription.objects.create(household=household, label="School", created_at=NOW)
    browser = client_for(outsider)
    home = outsider.household
    for name in ("calendars", "how", "make", "subscribe", "import"):
        assert browser.get(at(name, household)).status_code == 404
    for name in ("renew", "stop", "start"):
        assert browser.post(at(name, household, feed.pk)).status_code == 404
        assert browser.post(at(name, home, feed.pk)).status_code == 404
    for name in ("look", "take_out", "take_back"):
        assert browser.post(at(name, household, row.pk)).status_code == 404
        assert browser.post(at(name, home, row.pk)).status_code == 404
    assert browser.get(at("subscription", home, row.pk)).status_code == 404


def test_a_followed_address_is_never_shown_again(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    browser = client_for(organiser)
    secret = "https://calendar.example.org/private/4f6d2c/basic.ics"
    fields = {"label": "Work", "url": secret, "busy_counts": "on", "key": str(uuid.uuid4())}
    page = browser.post(at("subscribe", household), fields, follow=True)
    row = Subscription.objects.get()
    for text in (page, browser.get(at("subscription", household, row.pk))):
        assert "calendar.example.org" in text.content.decode()
        assert "4f6d2c" not in text.content.decode()
    assert row.url == secret and row.next_fetch_at is not None


def test_a_bad_address_is_refused_with_what_was_typed(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    fields = {"label": "Work", "url": "ftp://example.org", "key": str(uuid.uuid4())}
    page = client_for(organiser).post(at("subscribe", household), fields)
    assert page.status_code == 422
    assert b"begins with https://" in page.content and b"ftp://example.org" in page.content


def test_a_file_is_taken_in_and_an_event_becomes_a_chore(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    browser = client_for(organiser)
    fields = {
        "label": "Dentist",
        "file": SimpleUploadedFile("a.ics", GOOD, "text/calendar"),
        "busy_counts": "on",
        "show_titles": "on",
        "key": str(uuid.uuid4()),
    }
    page = browser.post(at("import", household), fields, follow=True).content.decode()
    link = re.search(r'href="([^"]*chores/new/[^"]*)"', page)
    assert "10:00 to 11:30" in page and link is not None
    form = browser.get(link[1].replace("&amp;", "&")).content.decode()
    assert 'value="Dentist"' in form and 'value="2026-03-13"' in form
    assert re.search(r'value="once"[^>]*checked', form)


@pytest.mark.parametrize("content", [b"<html>", b"x" * (2 * 1024 * 1024 + 1), b""])
def test_a_bad_file_is_refused_in_a_sentence(
    household: Household, organiser: Member, client_for: SignedIn, content: bytes
) -> None:
    fields = {
        "label": "Rota",
        "file": SimpleUploadedFile("a.ics", content, "text/calendar"),
        "key": str(uuid.uuid4()),
    }
    page = client_for(organiser).post(at("import", household), fields)
    assert page.status_code == 422 and b"Not taken in yet." in page.content
    assert b'value="Rota"' in page.content


def test_a_member_gives_away_nobody_elses_time(
    household: Household, organiser: Member, member: Member, client_for: SignedIn
) -> None:
    fields = {
        "label": "Work",
        "url": "https://example.org/a.ics",
        "member": organiser.pk,
        "key": str(uuid.uuid4()),
    }
    assert client_for(member).post(at("subscribe", household), fields).status_code == 422
    mine = {**fields, "member": member.pk}
    assert client_for(member).post(at("subscribe", household), mine).status_code == 302


def test_the_list_costs_the_same_for_many_calendars(
    household: Household, organiser: Member, client_for: SignedIn, feed_for: Any
) -> None:
    browser = client_for(organiser)
    browser.get(at("calendars", household))  # the session's own bookkeeping is behind us
    costs = []
    for count in (3, 30):
        for number in range(count):
            feed_for(organiser, label=f"Device {number}")
            Subscription.objects.create(
                household=household, member=organiser, label=f"Work {number}", created_at=NOW
            )
        with CaptureQueriesContext(connection) as queries:
            browser.get(at("calendars", household))
        costs.append(len(queries))
    assert costs[0] == costs[1]

"""A calendar by address, end to end: made on the page, fetched, a task ticked, fetched again."""

from __future__ import annotations

import re
from typing import Any
from urllib.request import urlopen
from uuid import uuid4

import icalendar
import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores.models import Task
from household.feeds.models import Feed
from household.feeds.receiving import Wish, import_file
from household.people.models import Member
from tests.browser.signing import sign_in
from tests.factories import make_area, make_chore, make_household, make_member
from tests.feeds.hostile import GOOD

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def marit(live_server: Any) -> Member:
    """An organiser with one task a day, on today's real date."""
    now = timezone.now()
    household = make_household(time_zone="UTC")
    organiser = make_member(household, "Marit", role="organiser")
    make_chore(
        household,
        "Feed the rabbit",
        area=make_area(household, "Garden"),
        now=now,
        rule="FREQ=DAILY",
        who="fixed",
        fixed=organiser,
    )
    return organiser


def fetched(address: str) -> dict[str, icalendar.Event]:
    """As a calendar program would: by the address alone."""
    with urlopen(address) as answer:
        assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
        assert "Set-Cookie" not in answer.headers
        calendar = icalendar.Calendar.from_ical(answer.read())
    return {str(event["UID"]): event for event in calendar.walk("VEVENT")}


def test_a_tick_shows_in_the_calendar_that_was_made_by_touch(
    either: Page, live_server: Any, marit: Member, axe: Any, fits: Any
) -> None:
    page, base = either, sign_in(either, live_server, marit)
    page.goto(f"{base}/more/")
    page.get_by_role("link", name="Calendars").click()
    axe(page)
    fits(page)
    page.get_by_role("link", name="Make an address").click()
    page.get_by_label("Where will you use it?").fill("My phone")
    axe(page)
    fits(page)
    page.get_by_role("button", name="Make the address").click()
    address = page.get_by_label("The address", exact=True).input_value()
    assert address.startswith(f"{live_server.url}/f/") and address.endswith(".ics")
    expect(page.get_by_role("link", name="Add it to my calendar")).to_have_attribute(
        "href", f"webcal://{address.partition('://')[2]}"
    )
    expect(page.get_by_role("img", name="to be read by a camera")).to_be_visible()
    axe(page)
    fits(page)

    before = fetched(address)
    assert len(before) == 91
    task = Task.objects.earliest("opens")
    page.goto(f"{base}/today/")
    page.get_by_role("button", name="Feed the rabbit").or_(
        page.get_by_role("checkbox", name="Feed the rabbit")
    ).first.click()
    expect(page.locator("li.row", has_text="Feed the rabbit")).to_contain_text("Done")
    after = fetched(address)
    (changed,) = [uid for uid in before if before[uid] != after[uid]]
    assert changed.startswith(f"c{task.chore_id}-")
    assert str(after[changed]["SUMMARY"]) == "Done: Feed the rabbit"
    assert after[changed]["SEQUENCE"] > before[changed]["SEQUENCE"]


def test_the_address_is_copied_with_one_touch(
    laptop: Page, live_server: Any, marit: Member
) -> None:
    laptop.context.grant_permissions(["clipboard-read", "clipboard-write"])
    base = sign_in(laptop, live_server, marit)
    laptop.goto(f"{base}/calendars/new/")
    laptop.get_by_label("Where will you use it?").fill("Laptop")
    laptop.get_by_role("button", name="Make the address").click()
    laptop.get_by_role("button", name="Copy the address").click()
    expect(laptop.get_by_text("Copied.")).to_be_visible()
    address = laptop.get_by_label("The address", exact=True).input_value()
    assert laptop.evaluate("navigator.clipboard.readText()") == address


def test_stopping_is_said_and_taken_back(laptop: Page, live_server: Any, marit: Member) -> None:
    base = sign_in(laptop, live_server, marit)
    laptop.goto(f"{base}/calendars/new/")
    laptop.get_by_label("Where will you use it?").fill("Laptop")
    laptop.get_by_role("button", name="Make the address").click()
    laptop.get_by_role("link", name="Done: to all calendars").click()
    laptop.get_by_role("button", name=re.compile("^Stop")).click()
    expect(laptop.locator("#notes")).to_contain_text("answers no more")
    assert Feed.objects.get().stopped_at is not None
    laptop.locator("#notes").get_by_role("button", name="Let it answer again").click()
    expect(laptop.locator("#notes")).to_contain_text("answers again")
    assert Feed.objects.get().stopped_at is None


def test_calendars_taken_in_can_be_read_by_everybody(
    either: Page, live_server: Any, marit: Member, axe: Any, fits: Any
) -> None:
    today = timezone.now().date()
    content = GOOD.replace(b"20260313", f"{today:%Y%m%d}".encode()).replace(
        b"T100000Z", b"T235000Z"
    )
    content = content.replace(b"T113000Z", b"T235500Z")
    row = import_file(
        household=marit.household,
        wish=Wish("Work rota", marit),
        content=content,
        now=timezone.now(),
        key=uuid4(),
    )
    base = sign_in(either, live_server, marit)
    for path in ("calendars/", f"calendars/in/{row.pk}/", "calendars/how-to/"):
        either.goto(f"{base}/{path}")
        axe(either)
        fits(either)
    for path in ("today/", "week/", f"week/month/{today:%Y/%-m}/"):
        either.goto(f"{base}/{path}")
        expect(either.get_by_text("23:50 to 23:55").first).to_be_visible()
        axe(either)
        fits(either)
    either.goto(f"{base}/calendars/in/{row.pk}/")
    either.get_by_role("link", name="Make it a chore").click()
    expect(either.get_by_label("What is to be done?")).to_have_value("Dentist")
    for path in ("calendars/follow/", "calendars/import/"):
        either.goto(f"{base}/{path}")
        axe(either)
        fits(either)

"""Foreign events on the pages of a day, a week and a month: whose, when, and in which words."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.feeds import queries, receiving
from household.feeds.happening import happenings
from household.feeds.models import BusyEvent, Subscription
from household.feeds.receiving import Wish, import_file
from household.people.actions import touch_household
from household.people.models import Household, Member
from tests.factories import NOW, TODAY

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]


def taken_in(
    household: Household, *events: str, member: Member | None = None, **wish: Any
) -> Subscription:
    """A file of events, each its lines joined by |."""
    parts = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Test//EN"]
    for number, event in enumerate(events):
        parts += ["BEGIN:VEVENT", f"UID:{number}", "DTSTAMP:20260101T000000Z", *event.split("|")]
        parts.append("END:VEVENT")
    content = "\r\n".join([*parts, "END:VCALENDAR", ""]).encode()
    return import_file(
        household=household,
        wish=Wish("Work", member, **wish),
        content=content,
        now=NOW,
        key=uuid.uuid4(),
    )


DENTIST = "DTSTART:20260312T100000Z|DTEND:20260312T103000Z|SUMMARY:Dentist & <b>more</b>"
NIGHT = "DTSTART:20260312T220000Z|DTEND:20260314T060000Z|SUMMARY:Night shift"
TERM = "DTSTART;VALUE=DATE:20260310|DTEND;VALUE=DATE:20260313|SUMMARY:Half-term|TRANSP:TRANSPARENT"


def on_days(household: Household, first: date, last: date) -> dict[date, list[str]]:
    found = happenings(queries.foreign_events(household, first, last), first, last, household.zone)
    return {day: [each.words for each in on] for day, on in found.items()}


def test_each_day_says_its_part_of_an_event(household: Household, member: Member) -> None:
    taken_in(household, TERM)
    taken_in(household, DENTIST, NIGHT, member=member)
    day = timedelta(days=1)
    assert on_days(household, TODAY, TODAY + 2 * day) == {
        TODAY: [
            "Half-term",
            "10:00 to 10:30 Dentist & <b>more</b> (Dev)",
            "from 22:00 Night shift (Dev)",
        ],
        TODAY + day: ["Night shift (Dev)"],
        TODAY + 2 * day: ["until 06:00 Night shift (Dev)"],
    }


def test_times_are_the_households_own(household: Household) -> None:
    """Dublin is at +01:00 in April (IANA)."""
    taken_in(household, "DTSTART:20260401T083000Z|SUMMARY:Bell")
    day = date(2026, 4, 1)
    assert on_days(household, day, day) == {day: ["09:30 Bell"]}


def test_today_shows_ones_own_and_nobodys_with_less_time_free(
    household: Household, organiser: Member, member: Member, client_for: SignedIn
) -> None:
    member.free_minutes = [120] * 7
    member.save(update_fields=["free_minutes"])
    taken_in(household, TERM)
    taken_in(household, DENTIST, member=member)
    taken_in(household, DENTIST.replace("Dentist", "Elsewhere"), member=organiser)
    page = client_for(member).get(f"/h/{household.pk}/today/").content.decode()
    assert "What else is on?" in page and "Half-term" in page
    assert "<b>10:00 to 10:30</b> Dentist &amp; &lt;b&gt;more&lt;/b&gt;" in page
    assert "Elsewhere" not in page
    assert "of 90 you have free today" in page
    others = client_for(organiser).get(f"/h/{household.pk}/today/{member.pk}/").content.decode()
    assert "Dentist" in others and "Elsewhere" not in others


def test_today_notices_what_is_taken_in_and_taken_out(
    household: Household, member: Member, client_for: SignedIn
) -> None:
    browser, address = client_for(member), f"/h/{household.pk}/today/"
    assert "What else is on?" not in browser.get(address).content.decode()
    row = taken_in(household, DENTIST, member=member)
    assert "Dentist" in browser.get(address).content.decode()
    receiving.take_out(subscription=row, now=NOW)
    assert "Dentist" not in browser.get(address).content.decode()


def test_a_tick_does_not_read_the_calendars_again(
    household: Household, member: Member, client_for: SignedIn
) -> None:
    browser, address = client_for(member), f"/h/{household.pk}/today/"
    taken_in(household, DENTIST, member=member)
    browser.get(address)
    touch_household(household.pk)
    with CaptureQueriesContext(connection) as spent:
        assert "Dentist" in browser.get(address).content.decode()
    assert not any("busyevent" in each["sql"] for each in spent)


@pytest.mark.parametrize("path", ["week/2026-03-09/", "week/month/2026/3/"])
def test_the_week_and_the_month_show_everybodys(
    household: Household, organiser: Member, member: Member, client_for: SignedIn, path: str
) -> None:
    taken_in(household, TERM)
    taken_in(household, DENTIST, member=member)
    taken_in(household, DENTIST, member=organiser, show_titles=False)
    page = client_for(member).get(f"/h/{household.pk}/{path}").content.decode()
    assert page.count("Half-term") == 3
    assert "10:00 to 10:30 Dentist &amp; &lt;b&gt;more&lt;/b&gt; (Dev)" in page
    assert "10:00 to 10:30 Busy (Marit)" in page


def test_a_month_counts_what_is_taken_from_the_free_time(
    household: Household, member: Member, client_for: SignedIn
) -> None:
    browser, path = client_for(member), f"/h/{household.pk}/week/month/2026/3/"

    def free() -> int:
        weeks = browser.get(path).context["weeks"]
        return next(d.free for w in weeks for d in w["days"] if d.day == TODAY)

    before = free()
    taken_in(household, "DTSTART;VALUE=DATE:20260312|SUMMARY:Away with work", member=member)
    assert before - free() == member.free_minutes[TODAY.weekday()]


def test_a_crowded_day_is_cut_short_on_the_months_page(
    household: Household, organiser: Member, client_for: SignedIn
) -> None:
    taken_in(household, *[DENTIST.replace("Dentist", f"Call {n}") for n in range(5)])
    page = client_for(organiser).get(f"/h/{household.pk}/week/month/2026/3/").content.decode()
    assert page.count("Call ") == 3 and "and 2 more" in page


def test_strangers_events_are_on_no_page(
    household: Household, organiser: Member, outsider: Member, client_for: SignedIn
) -> None:
    taken_in(outsider.household, DENTIST, member=outsider)
    for path in ("today/", "week/2026-03-09/", "week/month/2026/3/"):
        page = client_for(organiser).get(f"/h/{household.pk}/{path}").content.decode()
        assert "Dentist" not in page


@pytest.mark.parametrize("path", ["week/2026-03-09/", "week/month/2026/3/"])
def test_many_events_cost_no_more_queries_than_few(
    household: Household, organiser: Member, client_for: SignedIn, path: str
) -> None:
    browser = client_for(organiser)
    row = taken_in(household, DENTIST, member=organiser)
    browser.get(f"/h/{household.pk}/{path}")  # the session and the early warnings are behind us
    costs = []
    for count in (3, 30):
        BusyEvent.objects.bulk_create(
            BusyEvent(subscription=row, first=TODAY, last=TODAY, title=f"Call {n}")
            for n in range(count)
        )
        with CaptureQueriesContext(connection) as spent:
            browser.get(f"/h/{household.pk}/{path}")
        costs.append(len(spent))
    assert costs[0] == costs[1]

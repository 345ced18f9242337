"""Occasions in calendars given out, and lists and events of calendars made into occasions."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.feeds.models import BusyEvent, Subscription
from household.occasions import actions
from household.occasions.actions import Wanted
from household.occasions.models import Occasion
from household.people.models import Household, Member
from tests.factories import NOW, TODAY
from tests.feeds import libical
from tests.feeds.test_feed import by_uid, events_of, unpublished
from tests.occasions.making import make_gift, make_occasion

pytestmark = pytest.mark.django_db
SignIn = Callable[[Member], Client]


def test_two_readers_find_each_occasion_on_its_day(
    household: Household,
    organiser: Member,
    member: Member,
    feed_for: Any,
    fetch_feed: Any,
    second_reader: libical.LibICal,
) -> None:
    make_occasion(household, organiser, concerns=[member], year=1988)  # on 9 April
    make_occasion(
        household, organiser, "Holiday; by the sea, far", kind="event", sort="once",
        month=7, day=3, year=2026, lasts=10,
    )  # fmt: skip
    _, token = feed_for(organiser, "occasions")
    answer = fetch_feed(token)
    birthday, holiday = sorted(events_of(answer), key=lambda event: event["DTSTART"].dt)
    assert str(birthday["SUMMARY"]) == "Dev’s birthday, turns 38"
    assert (birthday["DTSTART"].dt, birthday["DTEND"].dt) == (date(2026, 4, 9), date(2026, 4, 10))
    assert "It concerns Dev." in str(birthday["DESCRIPTION"])
    assert str(holiday["SUMMARY"]) == "Holiday; by the sea, far"
    assert (holiday["DTSTART"].dt, holiday["DTEND"].dt) == (date(2026, 7, 3), date(2026, 7, 13))
    assert birthday["TRANSP"] == "TRANSPARENT"
    read = second_reader.read(answer.content)
    assert read.errors == 0
    assert {(one.text["SUMMARY"], one.values["DTSTART"]) for one in read.components} == {
        ("Dev’s birthday, turns 38", "20260409"),
        ("Holiday; by the sea, far", "20260703"),
    }
    assert second_reader.read(unpublished(answer.content)).fits


def test_one_that_is_going_on_when_the_days_begin_is_in_it(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    for name, days, lasts in (("Going on", 16, 3), ("Over", 17, 3)):
        day = TODAY - timedelta(days=days)
        make_occasion(
            household, organiser, name, kind="event", sort="once",
            month=day.month, day=day.day, year=day.year, lasts=lasts,
        )  # fmt: skip
    _, token = feed_for(organiser, "occasions")
    assert [str(each["SUMMARY"]) for each in events_of(fetch_feed(token))] == ["Going on"]


def test_a_change_keeps_the_uid_and_raises_the_sequence(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    occasion = make_occasion(household, organiser)
    _, token = feed_for(organiser, "occasions")
    before = by_uid(fetch_feed(token))
    actions.change_occasion(occasion=occasion, actor=organiser, wanted=Wanted({"day": 10}), now=NOW)
    after = by_uid(fetch_feed(token))
    assert list(before) == list(after)
    [uid] = after
    assert after[uid]["SEQUENCE"] > before[uid]["SEQUENCE"]
    assert after[uid]["DTSTART"].dt == date(2026, 4, 10)
    assert fetch_feed(token).content == fetch_feed(token).content  # nothing of now stands in it
    actions.archive_occasion(occasion=occasion, actor=organiser, now=NOW)
    assert by_uid(fetch_feed(token)) == {}


def test_public_holidays_of_the_region_are_there_if_wished(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_occasion(household, organiser)
    _, plain = feed_for(organiser, "occasions")
    _, with_feasts = feed_for(organiser, "feasts")
    assert len(events_of(fetch_feed(plain))) == 1
    days = {
        event["DTSTART"].dt: str(event["SUMMARY"]) for event in events_of(fetch_feed(with_feasts))
    }
    # Saint Patrick's Day and Easter Monday are public holidays in Ireland (Organisation of
    # Working Time Act 1997, second schedule); Easter 2026 is on 5 April (OEIS A060958).
    assert days[date(2026, 3, 17)] == "Saint Patrick's Day"
    assert days[date(2026, 4, 6)] == "Easter Monday"
    assert days[date(2026, 4, 9)] == "Dev’s birthday"


def test_no_gift_and_no_lead_job_ever_stands_in_it(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member], notes="A quiet day")
    make_gift(household, organiser, "A telescope", members=[member], occasion=occasion)
    for owner in (organiser, member):
        for kind in ("occasions", "feasts"):
            _, token = feed_for(owner, kind, label=f"{kind} of {owner}")
            text = fetch_feed(token).content.decode()
            assert "telescope" not in text and "present" not in text and "quiet" not in text


def test_hidden_titles_say_nothing(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_occasion(household, organiser, concerns=[member])
    _, token = feed_for(organiser, "occasions", hide_titles=True)
    text = fetch_feed(token).content.decode()
    assert "SUMMARY:An occasion" in text
    assert "Dev" not in text


def test_it_has_no_to_dos_and_costs_the_same_for_thirty_as_for_three(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    _, token = feed_for(organiser, "occasions")
    assert fetch_feed(token, "todos").status_code == 404

    def cost(count: int) -> int:
        for number in range(count):
            make_occasion(household, organiser, f"Birthday {count} {number}")
        fetch_feed(token)
        make_occasion(household, organiser, f"One more of {count}")
        with CaptureQueriesContext(connection) as seen:
            fetch_feed(token)
        return len(seen)

    assert cost(3) == cost(30)


# Lists ---------------------------------------------------------------------------------------


def sent(client: Client, household: Household, **values: Any) -> Any:
    address = reverse("feeds:occasion_list", args=[household.pk])
    return client.post(address, {"kind": "birthday", "text": "", **values})


def test_a_list_is_shown_before_anything_is_added(
    household: Household, organiser: Member, member: Member, client_for: SignIn
) -> None:
    client = client_for(organiser)
    text = "Dev, 1988-04-09\nIlse; 25.2.\nTom, soon"
    page = sent(client, household, text=text).content.decode()
    assert "2 can be added" in page
    assert "Line 3: “soon” is no date. Write it as 2015-05-09 or 05-09." in page
    assert not Occasion.objects.exists()
    sent(client, household, text=text, add="1")
    dev, ilse = Occasion.objects.order_by("name")
    assert (dev.name, dev.year, list(dev.concerns.all())) == ("Dev’s birthday", 1988, [member])
    assert (ilse.name, ilse.who, ilse.month, ilse.day, ilse.year) == (
        "Ilse’s birthday", "Ilse", 2, 25, None,
    )  # fmt: skip
    again = client.get(sent(client, household, text=text, add="1").url).content.decode()
    assert "Nothing is added. 2 stood there already." in again


CALENDAR = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\n"
    "BEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20250101T000000Z\r\nDTSTART;VALUE=DATE:19750514\r\n"
    "RRULE:FREQ=YEARLY\r\nSUMMARY:Ilse’s birthday\r\nEND:VEVENT\r\n"
    "BEGIN:VEVENT\r\nUID:2\r\nDTSTAMP:20250101T000000Z\r\nDTSTART;VALUE=DATE:20260603\r\n"
    "SUMMARY:Brandt\\, Per\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def test_a_calendar_file_becomes_a_list_that_can_be_mended(
    household: Household, organiser: Member, client_for: SignIn
) -> None:
    client = client_for(organiser)
    file = SimpleUploadedFile("days.ics", CALENDAR.encode(), "text/calendar")
    page = sent(client, household, file=file)
    assert "2 can be added" in page.content.decode()
    text = page.context["form"].initial["text"]
    assert text == '"Ilse’s birthday",--05-14\n"Brandt, Per",--06-03'
    sent(client, household, text=text, add="1")
    names = sorted(Occasion.objects.values_list("name", "month", "day"))
    assert names == [("Brandt, Per’s birthday", 6, 3), ("Ilse’s birthday", 5, 14)]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "Paste a list, or choose a file."),
        (
            {"file": SimpleUploadedFile("x.ics", b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n")},
            "This calendar is broken",
        ),
        ({"text": "Nobody"}, "There is no date after the name. Write: name, date."),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_added(
    values: dict[str, Any],
    words: str,
    household: Household,
    organiser: Member,
    client_for: SignIn,
) -> None:
    page = sent(client_for(organiser), household, **{**values, "add": "1"})
    assert words in page.content.decode()
    assert not Occasion.objects.exists()


def test_an_event_taken_in_becomes_an_occasion(
    household: Household, member: Member, client_for: SignIn
) -> None:
    calendar = Subscription.objects.create(household=household, label="School", created_at=NOW)
    day = TODAY + timedelta(days=12)
    BusyEvent.objects.create(
        subscription=calendar, first=day, last=day + timedelta(days=2), title="School trip"
    )
    client = client_for(member)
    page = client.get(reverse("feeds:subscription", args=[household.pk, calendar.pk]))
    [event] = page.context["events"]
    assert "an occasion<" in page.content.decode()
    form = client.get(event.occasion_url).context["form"]
    values = {name: form[name].value() for name in form.fields}
    client.post(
        reverse("occasions:add", args=[household.pk]),
        {name: value for name, value in values.items() if value not in (None, "", False, [])},
    )
    made = Occasion.objects.get()
    assert (made.name, made.kind, made.sort, made.lasts) == ("School trip", "event", "once", 3)
    assert date(made.year or 0, made.month, made.day) == day

"""Requests as a calendar: which stand in it, on which day, in which words, and for whom."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import icalendar
import pytest
import time_machine

from household.chores import ticking
from household.chores.models import Task
from household.people.models import Household, Member
from household.requests import actions
from household.requests.models import Request
from tests.factories import NOW, TODAY, make_area, make_member
from tests.requests.making import make_request, taken_by

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
Read = Callable[..., dict[str, Any]]


@pytest.fixture
def read(feed_for: Any, fetch_feed: Any, second_reader: Any) -> Read:
    """The events of a feed of requests by their titles, as both readers agree."""

    def get(owner: Member, what: str = "events", **fields: Any) -> dict[str, Any]:
        _, token = feed_for(owner, "requests", **fields)
        body = fetch_feed(token, what).content
        calendar = icalendar.Calendar.from_ical(body)
        found = calendar.walk("VEVENT" if what == "events" else "VTODO")
        assert calendar.errors == [] and all(each.errors == [] for each in found)
        assert second_reader.read(body).errors == 0
        assert len(second_reader.read(body).components) == len(found)
        return {str(each["SUMMARY"]): each for each in found}

    return get


def test_each_stands_on_the_day_that_matters(
    household: Household, organiser: Member, member: Member, read: Read
) -> None:
    old = NOW - 30 * DAY
    with time_machine.travel(old, tick=False):
        make_request(household, member, "Asked long ago", now=old)
        done = make_request(household, member, "Done long ago", now=old)
        actions.finish(asked=done, actor=member, outcome=actions.Outcome(), now=old)
    make_request(household, member, "Wished for", to=organiser, by=TODAY + 3 * DAY)
    make_request(household, member, "Far away", by=TODAY + 91 * DAY)
    taken_by(organiser, make_request(household, member, "Taken on"), by=TODAY + 5 * DAY)
    gone = make_request(household, member, "Not needed")
    actions.withdraw(asked=gone, actor=member, now=NOW)
    found = read(organiser)
    assert {title: each["DTSTART"].dt for title, each in found.items()} == {
        "Asked long ago": TODAY - 30 * DAY,
        "Wished for (Marit)": TODAY + 3 * DAY,
        "Taken on (Marit)": TODAY + 5 * DAY,
    }
    assert all(each["DTEND"].dt - each["DTSTART"].dt == DAY for each in found.values())
    assert all(each["TRANSP"] == "TRANSPARENT" for each in found.values())


def test_it_says_what_is_asked_and_where_it_stands_with_the_caution(
    household: Household, organiser: Member, member: Member, read: Read
) -> None:
    kitchen = make_area(household, "Kitchen, upper")
    asked = make_request(
        household,
        member,
        "The socket sparks",
        details="Only when it rains; or so\nit seems.",
        kind="repair",
        area=kitchen,
        urgency="now",
    )
    event = read(organiser)["The socket sparks"]
    link = f"http://testserver/h/{household.pk}/requests/{asked.pk}/"
    lines = str(event["DESCRIPTION"]).splitlines()
    assert lines[:3] == ["Repair, Kitchen, upper, now", "Asked by Dev.", "Waiting for somebody."]
    assert lines[3].startswith("Mains electricity is for a licensed person.")
    assert lines[4:] == ["Only when it rains; or so", "it seems.", link]
    assert event["URL"] == link
    assert event["CATEGORIES"].cats == ["Kitchen, upper"]


def test_every_step_grows_the_sequence_and_changes_the_words(
    household: Household, organiser: Member, member: Member, read: Read
) -> None:
    asked = make_request(household, member, "Lamp", to=organiser)
    steps = [read(organiser)["Lamp (Marit)"]]
    actions.cannot(asked=asked, member=organiser, now=NOW)
    steps.append(read(organiser)["Lamp"])
    taken_by(organiser, Request.objects.get(pk=asked.pk))
    steps.append(read(organiser)["Lamp (Marit)"])
    task = Task.objects.select_related("chore", "household").get(request=asked)
    ticking.tick(task=task, member=organiser, now=NOW, horizon=TODAY)
    steps.append(read(organiser)["Done: Lamp (Marit)"])
    actions.thank(asked=Request.objects.get(pk=asked.pk), member=member, now=NOW)
    steps.append(read(organiser)["Done: Lamp (Marit)"])
    numbers = [int(each["SEQUENCE"]) for each in steps]
    assert numbers == sorted(set(numbers))
    assert len({str(each["UID"]) for each in steps}) == 1
    assert "Done by Marit." in str(steps[-1]["DESCRIPTION"])
    assert read(organiser, include_done=False) == {}


def test_what_is_for_adults_is_in_no_young_members_calendar(
    household: Household, organiser: Member, child: Member, read: Read
) -> None:
    young = make_member(household, "Oona", age_band="13-15")
    make_request(household, child, "The oven sparks", kind="repair")
    make_request(household, child, "A lift")
    assert set(read(organiser)) == {"The oven sparks", "A lift"}
    assert set(read(young)) == {"A lift"}


def test_hidden_titles_say_nothing(household: Household, member: Member, read: Read) -> None:
    make_request(
        household, member, "Secret", details="Hush", to=member, area=make_area(household, "Attic")
    )
    (event,) = read(member, hide_titles=True).values()
    assert str(event["SUMMARY"]) == "A request"
    for word in (b"Secret", b"Hush", b"Attic", b"Dev"):
        assert word not in event.to_ical()


def test_to_dos_are_those_with_a_day(
    household: Household, organiser: Member, member: Member, read: Read
) -> None:
    make_request(household, member, "Some time")
    make_request(household, member, "By Monday", by=date(2026, 3, 16))
    taken_by(organiser, make_request(household, member, "Taken on"), by=TODAY + 5 * DAY)
    found = read(organiser, "todos")
    assert {title: each["DUE"].dt for title, each in found.items()} == {
        "By Monday": date(2026, 3, 16),
        "Taken on (Marit)": TODAY + 5 * DAY,
    }


def test_another_household_is_not_in_it(
    household: Household, organiser: Member, outsider: Member, read: Read
) -> None:
    make_request(outsider.household, outsider, "Elsewhere")
    assert read(organiser) == {}


def test_many_requests_cost_no_more_queries_than_few(
    household: Household,
    organiser: Member,
    member: Member,
    feed_for: Any,
    fetch_feed: Any,
    django_assert_max_num_queries: Any,
) -> None:
    _, token = feed_for(organiser, "requests")
    for count in (3, 30):
        for number in range(count):
            make_request(household, member, f"Lamp {number}", to=organiser)
        fetch_feed(token)
        with django_assert_max_num_queries(5):
            fetch_feed(token)

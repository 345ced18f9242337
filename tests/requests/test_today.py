"""What Today says of requests: to whom, when, and never more than it should."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from household.chores import ticking
from household.people.models import Household, Member
from household.requests import actions, keeping
from household.requests.today import for_today, reminding_hour
from tests.factories import NOW, TODAY
from tests.requests.making import make_appliance, make_request, taken_by

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
# The clock of Dublin is that of UTC until 29 March 2026 (IANA tzdata).
MORNING = datetime(2026, 3, 12, 9, 0, tzinfo=UTC)
EVENING = datetime(2026, 3, 12, 17, 30, tzinfo=UTC)
SATURDAY = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)


def sentences(member: Member, now: datetime = NOW) -> list[str]:
    return [line.sentence for line in for_today(member, now)]


def test_those_who_may_help_see_who_asks(
    household: Household, member: Member, organiser: Member, child: Member
) -> None:
    make_request(household, member, "The chair wobbles")
    make_request(household, member, "Something for nobody", urgency="whenever")
    make_request(household, member, "A word with you", urgency="whenever", to=organiser)
    make_request(household, member, "The socket is loose", urgency="now")
    assert sentences(organiser) == [
        "Dev asks: The socket is loose",
        "Dev asks: A word with you",
    ], "no more than two at a time"
    assert sentences(member) == [], "not who asked"


def test_who_declined_is_left_in_peace(
    household: Household, member: Member, organiser: Member, child: Member
) -> None:
    asked = make_request(household, member)
    actions.cannot(asked=asked, member=organiser, now=NOW)
    assert sentences(organiser) == []
    assert sentences(child) == ["Dev asks: The tap drips"]


def test_what_was_done_may_be_thanked_for_a_fortnight(
    household: Household, member: Member, organiser: Member
) -> None:
    asked = taken_by(organiser, make_request(household, member))
    assert asked.task
    ticking.tick(task=asked.task, member=organiser, now=NOW, horizon=TODAY)
    [line] = for_today(member, NOW)
    assert line.sentence == "Marit has done this for you: The tap drips"
    assert line.thank_url
    assert len(for_today(member, NOW + 14 * DAY)) == 1
    assert for_today(member, NOW + 15 * DAY) == []
    actions.thank(asked=asked, member=member, now=NOW)
    assert for_today(member, NOW) == []


@pytest.mark.parametrize(
    ("chosen", "told"),
    [("", [EVENING]), ("evening", [EVENING]), ("weekend", [SATURDAY]), ("never", [])],
)
def test_helpers_are_reminded_when_they_chose(
    chosen: str, told: list[datetime], household: Household, member: Member, organiser: Member
) -> None:
    taken_by(organiser, make_request(household, member), by=TODAY + 9 * DAY)
    if chosen:
        keeping.remind_at(member=organiser, when=chosen)
    for now in (MORNING, EVENING, SATURDAY):
        said = ["You have in mind for Dev: The tap drips"] if now in told else []
        assert sentences(organiser, now) == said
        assert sentences(member, now) == []


def test_what_stands_on_the_list_already_needs_no_reminder(
    household: Household, member: Member, organiser: Member
) -> None:
    taken_by(organiser, make_request(household, member), by=TODAY)
    assert sentences(organiser, EVENING) == []


def test_several_promises_are_one_line(
    household: Household, member: Member, organiser: Member
) -> None:
    for number in range(3):
        asked = make_request(household, member, f"Thing {number}")
        taken_by(organiser, asked, by=TODAY + (3 + number) * DAY)
    assert sentences(organiser, EVENING) == ["You have in mind for Dev: Thing 0 and 2 more"]


def test_hours_follow_the_households_own_clock_and_weekend(household: Household) -> None:
    assert reminding_hour(household, EVENING) == "evening"
    assert reminding_hour(household, MORNING) == ""
    assert reminding_hour(household, SATURDAY) == "weekend"
    assert reminding_hour(household, SATURDAY + timedelta(hours=3)) == ""
    # Unicode CLDR: in Egypt the weekend is Friday and Saturday; Cairo is two hours ahead.
    household.country, household.time_zone = "EG", "Africa/Cairo"
    assert reminding_hour(household, SATURDAY - DAY) == "weekend"
    assert reminding_hour(household, datetime(2026, 3, 12, 15, 0, tzinfo=UTC)) == "evening"


def test_today_shows_them_and_what_a_notice_tells_only_once(
    household: Household, member: Member, organiser: Member, client_for: Callable[[Member], Client]
) -> None:
    asked = make_request(household, member, to=organiser)
    client = client_for(organiser)
    today = reverse("web:today", args=[household.pk])
    page = client.get(today).content.decode()
    assert page.count("The tap drips") == page.count("Dev asks for help: The tap drips")
    organiser.notices.update(seen_at=NOW)
    Member.objects.filter(pk=organiser.pk).update(unseen=0)
    page = client.get(today).content.decode()
    assert "Dev asks: The tap drips" in page
    assert reverse("requests:request", args=[household.pk, asked.pk]) in page


def test_the_evening_makes_today_anew(
    household: Household, member: Member, organiser: Member, client_for: Callable[[Member], Client]
) -> None:
    taken_by(organiser, make_request(household, member), by=TODAY + 5 * DAY)
    client = client_for(organiser)
    Member.objects.update(unseen=0)
    today = reverse("web:today", args=[household.pk])
    client.get(today)
    morning = client.get(today)
    with time_machine.travel(EVENING, tick=False):
        evening = client.get(today, headers={"If-None-Match": morning.get("ETag", "")})
    assert "You have in mind" not in morning.content.decode()
    assert evening.status_code == 200
    assert "You have in mind for Dev" in evening.content.decode()


def test_organisers_learn_of_a_warranty_that_ends_soon(
    household: Household, member: Member, organiser: Member, client_for: Callable[[Member], Client]
) -> None:
    make_appliance(household, "Dryer", warranty_until=TODAY + 40 * DAY)
    make_appliance(household, "Kettle", warranty_until=TODAY + 90 * DAY)
    make_appliance(household, "Oven", warranty_until=TODAY - DAY)
    address = reverse("requests:list", args=[household.pk])
    for one, said in ((organiser, True), (member, False)):
        page = client_for(one).get(address).content.decode()
        assert ("The warranty of “Dryer” ends 21 April." in page) == said
        assert "“Kettle”" not in page and "“Oven”" not in page

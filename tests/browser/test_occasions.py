"""A birthday added in a few touches, and its card found in the week in good time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores.models import Task
from household.occasions.models import Occasion
from household.people.models import Household, Member
from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member
from tests.occasions.making import make_gift, make_occasion

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    make_area(household, "Kitchen")
    return {
        "household": household,
        "marit": make_member(household, "Marit", role="organiser", free_minutes=[90] * 7),
        "dev": make_member(household, "Dev", free_minutes=[90] * 7),
        "server": live_server,
    }


def test_a_birthday_is_added_and_its_card_waits_in_the_week_in_good_time(
    either: Page, home: dict[str, Any]
) -> None:
    household: Household = home["household"]
    day = household.today(timezone.now()) + timedelta(days=14)
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/occasions/")
    either.get_by_role("link", name="Birthday", exact=True).click()
    either.get_by_text("Dev", exact=True).click()
    either.get_by_label("Which day?").fill(str(day.day))
    either.get_by_label("Month", exact=True).select_option(str(day.month))
    either.get_by_label("Which year?").fill(str(day.year - 38))
    either.get_by_role("button", name="Add it").click()
    expect(either.get_by_role("heading", name="Dev’s birthday")).to_be_visible()
    expect(either.get_by_text("turns 38")).to_be_visible()
    occasion = Occasion.objects.get()
    assert (occasion.month, occasion.day) == (day.month, day.day)

    card = Task.objects.get(name="Write the card: Dev’s birthday")
    assert card.closes == day - timedelta(days=10)
    monday = card.closes - timedelta(days=card.closes.weekday())
    either.goto(f"{base}/week/{monday}/")
    expect(either.get_by_text("Write the card: Dev’s birthday").first).to_be_attached()
    either.goto(f"{base}/week/month/{card.closes.year}/{card.closes.month}/")
    in_time = either.locator("#in-time")
    expect(in_time.get_by_role("link", name="Write the card")).to_be_visible()


def test_only_the_fields_of_the_chosen_rule_are_shown(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["marit"])
    phone.goto(f"{base}/occasions/new/?kind=feast")
    expect(phone.get_by_label("Which day?")).to_be_visible()
    expect(phone.get_by_label("Days after Easter Sunday")).to_be_hidden()
    phone.get_by_label("How does it come round?").select_option("easter")
    expect(phone.get_by_label("Which day?")).to_be_hidden()
    phone.get_by_label("Days after Easter Sunday").fill("39")
    phone.get_by_label("What is it called?").fill("Ascension")
    phone.get_by_role("button", name="Add it").click()
    expect(phone.get_by_text("39 days after Easter")).to_be_visible()


def test_a_list_is_looked_at_and_then_added(either: Page, home: dict[str, Any]) -> None:
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/calendars/occasions/")
    either.get_by_label("One a line").fill("Ilse, 25 February 1975\nTom, soon")
    either.get_by_role("button", name="Look at it first").click()
    expect(either.get_by_text("Line 2: “soon” is no date.")).to_be_visible()
    either.get_by_role("button", name="Add 1").click()
    expect(either.get_by_role("link", name="Ilse’s birthday")).to_be_visible()


def test_every_page_can_be_read_by_everybody(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    household: Household = home["household"]
    marit: Member = home["marit"]
    day = household.today(timezone.now()) + timedelta(days=12)
    occasion = make_occasion(
        household, marit, concerns=[home["dev"]], month=day.month, day=day.day,
        year=day.year - 30, now=timezone.now(), notes="Nothing with nuts",
    )  # fmt: skip
    make_gift(household, marit, "A telescope", members=[home["dev"]], occasion=occasion)
    base = sign_in(either, home["server"], marit)
    pages = ["", "new/", f"{occasion.pk}/", f"{occasion.pk}/change/", "sets/", "gifts/"]
    pages += ["gifts/new/", "sets/birthday/new/"]
    for page in [f"occasions/{name}" for name in pages] + ["calendars/occasions/"]:
        either.goto(f"{base}/{page}")
        axe(either)
        fits(either)

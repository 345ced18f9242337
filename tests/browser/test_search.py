"""Searching as one types, by keyboard, by thumb, and without script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member, make_task
from tests.requests.making import make_outsider

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    kitchen = make_area(household, "Kitchen")
    for n in range(7):
        make_task(household, f"Sauté pan {n}", area=kitchen)
    make_outsider(
        household, name="Pan-European Removals with a very long name", phone="01632 960127"
    )
    return {"marit": marit, "server": live_server}


def test_results_come_as_one_types_and_stand_in_the_address(
    either: Page, axe: Reader, fits: Reader, home: dict[str, Any]
) -> None:
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/search/")
    box = either.get_by_role("searchbox", name="Search")
    expect(box).to_be_focused()
    axe(either)
    fits(either)
    box.press_sequentially("SAUTE", delay=20)
    found = either.locator("#found")
    expect(found.get_by_role("status")).to_have_text("7 found.")
    expect(box).to_be_focused()
    expect(either).to_have_url(f"{base}/search/?q=SAUTE")
    axe(either)
    fits(either)
    found.get_by_role("link", name="All 7").click()
    expect(found.get_by_role("status")).to_have_text("7 found in Tasks.")
    axe(either)
    either.go_back()
    expect(found.get_by_role("status")).to_have_text("7 found.")
    box.fill("pan europ")
    expect(found.get_by_role("link")).to_have_count(1)
    fits(either)
    found.get_by_role("link").click()
    expect(either.get_by_role("heading", level=1)).to_contain_text("Pan-European")


def test_the_box_on_more_is_one_touch_away(phone: Page, axe: Reader, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["marit"])
    phone.goto(f"{base}/today/")
    phone.get_by_role("link", name="More", exact=True).tap()
    axe(phone)
    phone.get_by_role("searchbox", name="Search").fill("kitchen")
    phone.get_by_role("button", name="Search").tap()
    expect(phone.locator("#found")).to_contain_text("Kitchen")


def test_it_works_without_script(browser: Any, home: dict[str, Any]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    base = sign_in(page, home["server"], home["marit"])
    page.goto(f"{base}/week/")
    page.get_by_role("link", name="Search", exact=True).click()
    page.get_by_role("searchbox", name="Search").fill("saute")
    page.get_by_role("button", name="Search").click()
    expect(page.locator("#found").get_by_role("status")).to_have_text("7 found.")
    expect(page.get_by_role("searchbox")).to_have_value("saute")
    context.close()

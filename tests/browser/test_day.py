"""The day works: a member ticks, undoes, adds and skips; an organiser plans a chore."""

from __future__ import annotations

import re
from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household import daily
from household.chores.models import Chore, Entry, State, Task
from household.people.models import Member
from tests.browser.signing import sign_in
from tests.factories import make_area, make_chore, make_household, make_member

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    """A home on today's real date: the browser's clock is not ours to set."""
    now = timezone.now()
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    wren = make_member(household, "Wren", age_band="12_15")
    kitchen = make_area(household, "Kitchen")
    for name in ("Empty the dishwasher", "Feed the rabbit"):
        make_chore(
            household, name, area=kitchen, now=now, rule="FREQ=DAILY", who="fixed", fixed=wren
        )
    make_chore(
        household,
        "Bathroom basin",
        area=make_area(household, "Bathroom"),
        now=now,
        rule="FREQ=DAILY",
        who="fixed",
        fixed=wren,
        level="clean",
        hazards=["cleaning_agents"],
    )
    make_chore(household, "Glass to the bank", area=kitchen, now=now, rule="FREQ=DAILY")
    daily.run(now=now)
    return {"household": household, "marit": marit, "wren": wren, "server": live_server}


def done(name: str) -> Task:
    return Task.objects.get(name=name, opens=timezone.now().date())


def row(page: Page, name: str) -> Any:
    return page.locator("li.row", has_text=name)


def test_a_member_ticks_and_undoes(either: Page, home: dict[str, Any]) -> None:
    base = sign_in(either, home["server"], home["wren"])
    either.goto(f"{base}/today/")
    expect(either.locator("#to-go")).to_have_text("30")
    either.get_by_role("checkbox", name="Feed the rabbit, done").click()
    expect(row(either, "Feed the rabbit")).to_contain_text("Done at")
    expect(either.locator("#to-go")).to_have_text("20")
    assert done("Feed the rabbit").state == State.DONE
    row(either, "Feed the rabbit").get_by_role("button", name="Undo").click()
    expect(either.locator("#to-go")).to_have_text("30")
    assert done("Feed the rabbit").state == State.OPEN
    kinds = Entry.objects.filter(task=done("Feed the rabbit")).order_by("id")
    assert [entry.did for entry in kinds] == ["ticked", "undone"]


def test_a_member_takes_skips_and_adds(either: Page, home: dict[str, Any]) -> None:
    base = sign_in(either, home["server"], home["wren"])
    either.goto(f"{base}/today/")
    row(either, "Glass to the bank").get_by_role("button", name="Take").click()
    expect(either.get_by_role("checkbox", name="Glass to the bank, done")).to_be_visible()
    assert done("Glass to the bank").member == home["wren"]

    either.get_by_role("link", name="Empty the dishwasher").click()
    either.get_by_label("Why not this time?").fill("It is still running")
    either.get_by_role("button", name=re.compile("Skip", re.I)).click()
    expect(either.locator("main")).to_contain_text("it is still running")
    assert done("Empty the dishwasher").reason == "It is still running"

    either.goto(f"{base}/today/")
    either.get_by_text("Add something for today").click()
    either.get_by_label("What is to be done?").fill("Post the parcel")
    either.get_by_role("button", name="Add it").click()
    expect(row(either, "Post the parcel")).to_be_visible()
    assert done("Post the parcel").member == home["wren"]


def test_longer_than_planned_is_said_after_the_tick(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    phone.get_by_role("checkbox", name="Feed the rabbit, done").click()
    row(phone, "Feed the rabbit").get_by_role("button", name="Longer").click()
    expect(row(phone, "Feed the rabbit")).not_to_contain_text("Took 10")
    assert done("Feed the rabbit").minutes_taken == 15


def test_the_caution_stands_open_on_the_row(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    expect(row(phone, "Bathroom basin").locator(".caution")).to_be_visible()


def test_ticking_works_without_script(browser: Any, home: dict[str, Any]) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    base = sign_in(page, home["server"], home["wren"])
    page.goto(f"{base}/today/")
    page.get_by_role("checkbox", name="Feed the rabbit, done").click()
    page.wait_for_url(f"{base}/today/")
    assert done("Feed the rabbit").state == State.DONE
    row(page, "Feed the rabbit").get_by_role("button", name="Undo").click()
    page.wait_for_url(f"{base}/today/")
    assert done("Feed the rabbit").state == State.OPEN
    context.close()


def test_the_day_can_be_done_by_keyboard_alone(laptop: Page, home: dict[str, Any]) -> None:
    base = sign_in(laptop, home["server"], home["wren"])
    laptop.goto(f"{base}/today/")
    for _ in range(40):
        laptop.keyboard.press("Tab")
        if laptop.evaluate("document.activeElement.getAttribute('aria-label')") == (
            "Feed the rabbit, done"
        ):
            break
    laptop.keyboard.press("Space")
    expect(row(laptop, "Feed the rabbit")).to_contain_text("Done at")
    focused = laptop.evaluate("document.activeElement.closest('li.row')?.innerText || ''")
    assert "Feed the rabbit" in focused


def test_an_organiser_makes_a_fortnightly_chore_and_sees_its_dates(
    either: Page, home: dict[str, Any]
) -> None:
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/chores/new/")
    either.get_by_label("What is to be done?").fill("Wipe the cupboards")
    either.get_by_label("Where?").select_option(label="Kitchen")
    either.get_by_label("How long does it take?").fill("20")
    either.locator("[name=every]").fill("2")
    for day in ("Tuesday", "Friday"):
        either.get_by_label(day, exact=True).check(force=True)
    today = timezone.now().date()
    own = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    if own[today.weekday()] not in ("Tuesday", "Friday"):
        either.get_by_label(own[today.weekday()], exact=True).uncheck(force=True)
    live = either.locator("#preview")
    expect(live).to_contain_text("Every 2 weeks on Tuesday and Friday")
    expect(live.locator("tbody tr")).to_have_count(10)
    either.get_by_role("button", name="Save chore").click()
    expect(either.get_by_text("“Wipe the cupboards” is on the plan.")).to_be_visible()
    chore = Chore.objects.get(name="Wipe the cupboards")
    days = [task.closes for task in chore.tasks.order_by("closes")]
    assert {day.weekday() for day in days} == {1, 4}
    assert all((b - a) in (timedelta(3), timedelta(11)) for a, b in pairwise(days))


def test_a_form_with_an_error_keeps_what_was_typed(either: Page, home: dict[str, Any]) -> None:
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/chores/new/")
    either.get_by_label("What is to be done?").fill("Wipe the cupboards")
    either.get_by_label("Where?").select_option(label="Kitchen")
    either.get_by_role("button", name="Save chore").click()
    expect(either.get_by_text("Not saved yet. One thing is missing.")).to_be_visible()
    expect(either.get_by_label("What is to be done?")).to_have_value("Wipe the cupboards")
    expect(either.get_by_text("Type the minutes, for example 20.")).to_be_visible()


def test_no_page_has_an_axe_finding(
    either: Page, axe: Any, fits: Any, home: dict[str, Any]
) -> None:
    member: Member = home["marit"]
    base = sign_in(either, home["server"], member)
    chore = Chore.objects.first()
    task = Task.objects.first()
    area = home["household"].areas.first()
    assert chore and task and area
    pages = [
        "today/",
        f"today/{home['wren'].pk}/",
        "chores/",
        "chores/new/",
        f"chores/{chore.pk}/",
        f"chores/{chore.pk}/change/",
        f"tasks/{task.pk}/",
        "tasks/add/",
        "areas/",
        "areas/new/",
        f"areas/{area.pk}/",
        "members/",
        "members/new/",
        f"members/{home['wren'].pk}/",
        "overview/",
        "overview/history/",
        "overview/keepers/",
        "settings/",
        "profile/",
        "more/",
        "glossary/",
        "no-such-page/",
    ]
    for path in pages:
        response = either.goto(f"{base}/{path}")
        assert response is not None
        assert response.status == (404 if path.startswith("no-such") else 200), path
        axe(either)
        fits(either)

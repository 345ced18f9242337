"""A grown-up gives a day to somebody else, by keyboard and by pointer, and takes it back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect

from household.chores.models import Task
from household.people.models import Member
from tests.browser.conftest import Reader, opened, watched
from tests.browser.launch import PHONE
from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

WITHIN = 5_000  # milliseconds: what one does, the other's open page shows by then
DAY = ("Feed the rabbit", "Lay the table", "Water the plants")


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    dev = make_member(household, "Dev")
    oona = make_member(household, "Oona", role="child", age_band="8_11")
    kitchen = make_area(household, "Kitchen")
    for name in DAY:
        make_task(household, name, day=timezone.now().date(), member=marit, area=kitchen)
    return {
        "household": household,
        "marit": marit,
        "dev": dev,
        "oona": oona,
        "server": live_server,
    }


@pytest.fixture
def other(browser: Browser) -> Iterator[Page]:
    """The other's phone, whose clock is moved on by hand: a slow machine cannot fail the test."""
    for page in watched(opened(browser, PHONE)):
        page.clock.install()
        yield page


def whose() -> dict[str, Member | None]:
    tasks = Task.objects.filter(name__in=DAY).select_related("member")
    return {task.name: task.member for task in tasks}


def box(page: Page, name: str) -> Locator:
    return page.get_by_role("checkbox", name=name)


def open_work(page: Page, home: dict[str, Any]) -> str:
    base = sign_in(page, home["server"], home["marit"])
    page.goto(f"{base}/hand/")
    expect(page.get_by_role("heading", name="Hand over work")).to_be_visible()
    return base


def tab_to(page: Page, target: Locator) -> None:
    """Only by the keyboard, as far as it takes."""
    for _ in range(40):
        page.keyboard.press("Tab")
        if target.evaluate("element => element === document.activeElement"):
            return
    raise AssertionError(f"the Tab key does not lead to {target}")


def test_a_day_is_handed_over_by_keyboard_alone_and_the_other_sees_it(
    either: Page, other: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    base = sign_in(other, home["server"], home["dev"])
    other.goto(f"{base}/today/")
    expect(other.locator("#to-go")).to_have_text("0")
    open_work(either, home)
    axe(either)
    fits(either)
    tab_to(either, box(either, "All of them"))
    either.keyboard.press("Space")
    expect(either.locator("#picked")).to_have_text("3 tasks, 30 min")
    # One radio button of a group has the keyboard; the arrows choose another.
    tab_to(either, either.get_by_role("radio", name="Marit"))
    either.keyboard.press("ArrowDown")
    expect(either.get_by_role("radio", name="Dev")).to_be_checked()
    tab_to(either, either.get_by_role("button", name="Hand them over"))
    either.keyboard.press("Enter")
    expect(either.get_by_text("3 tasks are Dev’s now.")).to_be_visible()
    assert set(whose().values()) == {home["dev"]}
    axe(either)
    fits(either)

    other.clock.fast_forward(WITHIN)
    for name in DAY:
        expect(box(other, f"{name}, done")).to_be_visible()
    expect(other.locator("#to-go")).to_have_text("30")
    axe(other)

    tab_to(either, either.get_by_role("button", name="Undo"))
    either.keyboard.press("Enter")
    expect(either.get_by_text("3 tasks are as before.")).to_be_visible()
    assert set(whose().values()) == {home["marit"]}
    other.clock.fast_forward(WITHIN)
    expect(other.locator("li.row")).to_have_count(0)
    expect(other.locator("#to-go")).to_have_text("0")


def test_a_day_is_handed_over_by_thumb_and_taken_back(
    phone: Page, home: dict[str, Any], fits: Reader
) -> None:
    open_work(phone, home)
    for name in ("Feed the rabbit", "Lay the table"):
        phone.locator("li.pick", has_text=name).locator("label.what").tap()
    expect(phone.locator("#picked")).to_have_text("2 tasks, 20 min")
    phone.locator(".give label", has_text="Dev").tap()
    phone.get_by_role("button", name="Hand them over").tap()
    expect(phone.get_by_text("2 tasks are Dev’s now.")).to_be_visible()
    assert whose() == {
        "Feed the rabbit": home["dev"],
        "Lay the table": home["dev"],
        "Water the plants": home["marit"],
    }
    fits(phone)
    phone.get_by_role("button", name="Undo").tap()
    expect(phone.locator("li.pick")).to_have_count(3)
    assert set(whose().values()) == {home["marit"]}


def test_picked_rows_are_dragged_onto_a_name_together(laptop: Page, home: dict[str, Any]) -> None:
    open_work(laptop, home)
    box(laptop, "Feed the rabbit").check()
    box(laptop, "Water the plants").check()
    row = laptop.locator("li.pick", has_text="Feed the rabbit")
    row.drag_to(laptop.locator(".give label", has_text="Oona"))
    expect(laptop.get_by_text("2 tasks are Oona’s now.")).to_be_visible()
    assert whose()["Lay the table"] == home["marit"]
    assert whose()["Feed the rabbit"] == whose()["Water the plants"] == home["oona"]
    laptop.get_by_role("button", name="Undo").click()
    expect(laptop.locator("li.pick")).to_have_count(3)


def test_nothing_picked_is_said_and_what_was_chosen_stays(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    open_work(either, home)
    either.get_by_role("radio", name="Dev").check(force=True)
    either.get_by_role("button", name="Hand them over").click()
    expect(either.locator("#errors")).to_be_focused()
    expect(either.locator("#errors")).to_contain_text("Nothing has been handed over yet.")
    expect(either.get_by_role("radio", name="Dev")).to_be_checked()
    axe(either)
    fits(either)


def test_two_swap_when_the_other_agrees(
    either: Page, other: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    hers = Task.objects.get(name="Lay the table")
    his = make_task(home["household"], "Bring the bins out", day=hers.day, member=home["dev"])
    base = sign_in(other, home["server"], home["marit"])
    other.goto(f"{base}/today/")
    sign_in(either, home["server"], home["dev"])
    either.goto(f"{base}/tasks/{his.pk}/")
    either.get_by_label("For which of theirs?").select_option(value=str(hers.pk))
    axe(either)
    fits(either)
    either.get_by_role("button", name="Ask to swap").click()
    expect(either.get_by_text("Marit is asked to swap.")).to_be_visible()
    axe(either)
    fits(either)

    other.clock.fast_forward(WITHIN)
    offer = other.locator("#swaps")
    expect(offer).to_contain_text("Bring the bins out")
    axe(other)
    fits(other)
    offer.get_by_role("button").first.tap()
    expect(other.get_by_text("“Bring the bins out” is yours now")).to_be_visible()
    expect(box(other, "Bring the bins out, done")).to_be_visible()
    expect(box(other, "Lay the table, done")).to_have_count(0)
    for task, member in ((hers, home["dev"]), (his, home["marit"])):
        task.refresh_from_db()
        assert task.member == member
    axe(other)

    either.goto(f"{base}/today/")
    expect(box(either, "Lay the table, done")).to_be_visible()
    expect(either.locator("#swaps")).not_to_contain_text("Bring the bins out")

"""The shared screen: who touches it says who they are, and it comes back by itself."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores.horizon import horizon_of
from household.chores.models import Did, Entry, State, Task
from household.chores.ticking import tick
from tests.browser.conftest import Reader
from tests.browser.signing import sign_in_screen
from tests.factories import make_area, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

A_MINUTE = 60_000  # milliseconds: without a touch the screen goes back to the overview
ASKS_EVERY = 30_000


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    oona = make_member(household, "Oona", role="child", age_band="8_11")
    kitchen = make_area(household, "Kitchen")
    day = timezone.now().date()
    make_task(household, "Feed the rabbit", day=day, member=oona, area=kitchen)
    make_task(household, "Lay the table", day=day, member=marit, area=kitchen)
    make_task(household, "Glass to the bank", day=day, area=kitchen)
    return {"household": household, "marit": marit, "oona": oona, "server": live_server}


def open_board(page: Page, home: dict[str, Any], path: str = "") -> str:
    base = sign_in_screen(page, home["server"], home["household"], home["marit"])
    page.goto(f"{base}/board/{path}")
    return f"{base}/board/"


def line(page: Page, name: str) -> Any:
    return page.locator("li.brow", has_text=name)


def task(name: str) -> Task:
    return Task.objects.get(name=name)


def test_a_touch_on_the_task_and_one_on_the_mark_is_a_tick(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    open_board(either, home)
    axe(either)
    fits(either)
    either.get_by_role("link", name="Feed the rabbit").click()
    expect(either.get_by_role("heading", name="Who did it?")).to_be_visible()
    axe(either)
    fits(either)
    either.get_by_role("button", name="Marit").click()
    expect(line(either, "Feed the rabbit")).to_contain_text("Done")
    axe(either)
    fits(either)
    done = task("Feed the rabbit")
    assert (done.state, done.done_by) == (State.DONE, home["marit"])
    entry = Entry.objects.get(task=done, did=Did.TICKED)
    assert entry.device is not None and entry.device.label == "Kitchen screen"

    either.get_by_role("button", name="Undo").click()
    expect(either.get_by_role("button", name="Undo")).to_have_count(0)
    expect(line(either, "Feed the rabbit")).not_to_contain_text("Done")
    assert task("Feed the rabbit").state == State.OPEN


def test_what_nobody_has_is_taken_by_a_mark(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    open_board(either, home)
    either.get_by_role("link", name="Glass to the bank").click()
    expect(either.get_by_role("heading", name="Who takes it on?")).to_be_visible()
    axe(either)
    fits(either)
    either.get_by_role("button", name="Oona").click()
    expect(line(either, "Glass to the bank")).to_contain_text("Oona")
    assert task("Glass to the bank").member == home["oona"]


def test_the_board_is_worked_by_keyboard_alone(laptop: Page, home: dict[str, Any]) -> None:
    open_board(laptop, home)
    laptop.get_by_role("link", name="Lay the table").focus()
    laptop.keyboard.press("Enter")
    expect(laptop.get_by_role("heading", name="Who did it?")).to_be_visible()
    for _ in range(20):
        laptop.keyboard.press("Tab")
        if laptop.evaluate("document.activeElement.innerText.trim()") == "Oona":
            break
    laptop.keyboard.press("Enter")
    expect(line(laptop, "Lay the table")).to_contain_text("Done")
    assert task("Lay the table").done_by == home["oona"]


@pytest.mark.parametrize("from_here", ["the week", "a task", "asking"])
def test_after_a_minute_without_a_touch_the_overview_is_back(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader, from_here: str
) -> None:
    either.clock.install()
    board = open_board(either, home)
    links = {"the week": "The week", "a task": "Lay the table", "asking": "Ask for help"}
    either.get_by_role("link", name=links[from_here]).click()
    either.wait_for_url(lambda url: url != board)
    axe(either)
    fits(either)
    away = either.url
    either.clock.fast_forward(A_MINUTE // 2)
    either.locator("h1").click()
    either.clock.fast_forward(A_MINUTE // 2 + 2000)
    assert either.url == away, "a touch begins the minute anew"
    either.clock.fast_forward(A_MINUTE // 2)
    either.wait_for_url(board)
    expect(line(either, "Lay the table")).to_be_visible()


def test_what_to_do_in_danger_stays_on_the_screen(phone: Page, home: dict[str, Any]) -> None:
    phone.clock.install()
    open_board(phone, home)
    phone.get_by_role("link", name="Ask for help").tap()
    phone.clock.run_for(1000)
    with phone.expect_response("**/look/"):
        phone.get_by_label("What do you need?").fill("It smells of gas here")
        phone.clock.run_for(1000)
    expect(phone.get_by_role("heading", name="Get safe first.")).to_be_visible()
    here = phone.url
    phone.clock.fast_forward(3 * A_MINUTE)
    phone.clock.fast_forward(2000)
    expect(phone.get_by_role("heading", name="Get safe first.")).to_be_visible()
    assert phone.url == here


def test_the_board_follows_what_happens_elsewhere(either: Page, home: dict[str, Any]) -> None:
    either.clock.install()
    open_board(either, home)
    now = timezone.now()
    tick(
        task=task("Feed the rabbit"),
        member=home["oona"],
        now=now,
        horizon=horizon_of(now.date()),
    )
    either.get_by_role("link", name="Lay the table").focus()
    either.clock.fast_forward(ASKS_EVERY)
    expect(line(either, "Feed the rabbit")).to_contain_text("Done")
    expect(either.get_by_role("link", name="Lay the table")).to_be_focused()

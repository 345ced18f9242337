"""What is kept on the phone: ticks while the network is gone, a half-typed form, the look."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Dialog, Page, Route, expect

from household.chores.models import Entry, State, Task
from tests.browser.signing import sign_in
from tests.factories import make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

LINE = "No network. Ticks are kept on this phone."
KEPT = "Object.entries(localStorage).filter(([key]) => key.startsWith('evenhouse.ticks.'))"


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    wren = make_member(household, "Wren", role="organiser")
    today = timezone.now().date()
    for name in ("Feed the rabbit", "Water the plants"):
        make_task(household, name, day=today, member=wren)
    return {"household": household, "wren": wren, "server": live_server}


def state(name: str) -> str:
    return Task.objects.get(name=name).state


def tick(page: Page, name: str) -> Any:
    return page.get_by_role("checkbox", name=f"{name}, done")


def test_a_tick_without_network_is_kept_and_sent_once_later(
    phone: Page, home: dict[str, Any]
) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    phone.context.set_offline(True)
    tick(phone, "Feed the rabbit").click()
    expect(tick(phone, "Feed the rabbit")).to_be_checked()
    expect(phone.locator("#offline")).to_have_text(LINE)
    assert state("Feed the rabbit") == State.OPEN
    ((key, text),) = phone.evaluate(KEPT)
    assert key == f"evenhouse.ticks.{home['wren'].pk}"
    assert "tick_id" in text

    phone.context.set_offline(False)
    expect(phone.locator("#offline")).to_have_text("")
    expect(phone.locator("li.row", has_text="Feed the rabbit")).to_contain_text("Done at")
    assert state("Feed the rabbit") == State.DONE
    assert phone.evaluate(KEPT) == []


def test_a_send_that_fails_on_the_way_is_kept_too_and_survives_a_reload(
    phone: Page, home: dict[str, Any]
) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")

    def cut(route: Route) -> None:
        if route.request.method == "POST":
            route.abort()
        else:
            route.continue_()

    phone.route("**/tick/", cut)
    tick(phone, "Feed the rabbit").click()
    expect(phone.locator("#offline")).to_have_text(LINE)
    phone.reload()
    expect(tick(phone, "Feed the rabbit")).to_be_checked()
    phone.unroute("**/tick/")
    phone.reload()
    expect(phone.locator("#offline")).to_have_text("")
    expect(phone.locator("li.row", has_text="Feed the rabbit")).to_contain_text("Done at")
    entries = Entry.objects.filter(task__name="Feed the rabbit", did="ticked")
    assert entries.count() == 1


def test_a_kept_tick_can_be_taken_back_before_it_is_sent(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    phone.context.set_offline(True)
    tick(phone, "Feed the rabbit").click()
    expect(phone.locator("#to-go")).to_have_text("10")
    tick(phone, "Feed the rabbit").click()
    expect(tick(phone, "Feed the rabbit")).not_to_be_checked()
    expect(phone.locator("#to-go")).to_have_text("20")
    assert phone.evaluate(KEPT) == []


def test_a_refused_tick_comes_back_with_a_sentence(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    Task.objects.filter(name="Feed the rabbit").delete()
    tick(phone, "Feed the rabbit").click()
    expect(phone.locator("#toast")).not_to_be_empty()
    expect(tick(phone, "Feed the rabbit")).not_to_be_checked()
    expect(phone.locator("#to-go")).to_have_text("20")


def test_after_undo_the_focus_stays_on_the_row(laptop: Page, home: dict[str, Any]) -> None:
    base = sign_in(laptop, home["server"], home["wren"])
    laptop.goto(f"{base}/today/")
    tick(laptop, "Feed the rabbit").press("Space")
    undo = laptop.locator("li.row", has_text="Feed the rabbit").get_by_role("button", name="Undo")
    undo.press("Enter")
    expect(tick(laptop, "Feed the rabbit")).to_be_focused()
    expect(tick(laptop, "Feed the rabbit")).not_to_be_checked()


def test_leaving_a_form_with_typed_text_warns(laptop: Page, home: dict[str, Any]) -> None:
    base = sign_in(laptop, home["server"], home["wren"])
    laptop.goto(f"{base}/chores/new/")
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    laptop.on("dialog", stay)
    laptop.get_by_label("What is to be done?").fill("Wipe the cupboards")
    laptop.get_by_role("link", name="Cancel").click()
    expect(laptop.get_by_label("What is to be done?")).to_have_value("Wipe the cupboards")
    assert asked == ["beforeunload"]


def test_the_look_chosen_on_a_device_stays_there(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/more/")
    phone.get_by_label("Dark").check(force=True)
    phone.get_by_label("Left").check(force=True)
    phone.goto(f"{base}/today/")
    root = phone.locator("html")
    expect(root).to_have_attribute("data-theme", "dark")
    boxes = [
        phone.locator("li.row").first.locator(part).bounding_box() for part in (".tick", ".what")
    ]
    assert boxes[0] and boxes[1]
    assert boxes[0]["x"] < boxes[1]["x"]


@pytest.mark.parametrize("path", ["today/", "chores/", "chores/new/", "areas/", "members/"])
def test_text_twice_as_large_still_fits(
    phone: Page, fits: Any, home: dict[str, Any], path: str
) -> None:
    """WCAG 2.2, 1.4.4 Resize Text: 200 %, at the width of a phone."""
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/{path}")
    phone.evaluate("document.documentElement.style.fontSize = '200%'")
    fits(phone)


@pytest.mark.parametrize("path", ["today/", "chores/new/", "overview/", "areas/"])
def test_pages_fit_320_pixels_and_right_to_left(
    phone: Page, fits: Any, home: dict[str, Any], path: str
) -> None:
    """WCAG 2.2, 1.4.10 Reflow: 320 CSS px."""
    base = sign_in(phone, home["server"], home["wren"])
    phone.set_viewport_size({"width": 320, "height": 640})
    phone.goto(f"{base}/{path}")
    fits(phone)
    phone.evaluate("document.documentElement.dir = 'rtl'")
    fits(phone)

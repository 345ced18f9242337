"""A child's phone and the kitchen's screen come in by a picture, read as a camera reads it."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pytest
import zxingcpp
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from household.chores.models import State, Task
from household.devices.models import Device
from tests.browser.conftest import Reader, opened, watched
from tests.browser.launch import LAPTOP, PHONE
from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

TASKS = ("Feed the rabbit", "Lay the table", "Water the plants")


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    """Oona is nine: no e-mail address, no password, not even an account before her phone is in."""
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    oona = make_member(household, "Oona", role="child", age_band="8_11", signs_in=False)
    kitchen = make_area(household, "Kitchen")
    for name in TASKS:
        make_task(household, name, day=timezone.now().date(), member=oona, area=kitchen)
    return {"household": household, "marit": marit, "oona": oona, "server": live_server}


@pytest.fixture
def other(browser: Browser) -> Iterator[Page]:
    """The phone that is to come in."""
    yield from watched(opened(browser, PHONE))


def read_picture(page: Page) -> str:
    """What a camera reads in the picture on the page: ISO/IEC 18004, decoded by zxing-cpp."""
    shot = page.locator(".qr").screenshot()
    found = zxingcpp.read_barcodes(Image.open(BytesIO(shot)))
    assert len(found) == 1, "one picture, and it can be read"
    assert found[0].format == zxingcpp.BarcodeFormat.QRCode
    return str(found[0].text)


def let_in(page: Page, home: dict[str, Any]) -> None:
    """The organiser opens the page that shows Oona's code."""
    base = sign_in(page, home["server"], home["marit"])
    page.goto(f"{base}/more/")
    page.get_by_role("link", name="Devices").click()
    page.get_by_role("button", name="Sign in a device for Oona").click()
    expect(page.get_by_text("Point Oona’s camera at this square.")).to_be_visible()


def test_a_child_comes_in_by_the_picture_and_ticks_three_tasks(
    either: Page, other: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    let_in(either, home)
    axe(either)
    fits(either)
    link = read_picture(either)
    either.emulate_media(color_scheme="dark")
    assert read_picture(either) == link, "in the dark theme too"
    assert link.startswith(f"{home['server'].url}/in/")

    other.goto(link)
    expect(other.get_by_role("heading", name="Hello, Oona")).to_be_visible()
    axe(other)
    fits(other)
    other.get_by_role("button", name="Yes, I am Oona").tap()
    other.wait_for_url("**/today/")
    for name in TASKS:
        tick = other.get_by_role("checkbox", name=f"{name}, done")
        tick.tap()
        expect(other.locator("li.row", has_text=name)).to_contain_text("Done at")
    expect(other.locator("#to-go")).to_have_text("0")
    axe(other)
    done = Task.objects.filter(state=State.DONE, done_by=home["oona"])
    assert sorted(done.values_list("name", flat=True)) == list(TASKS)

    expect(either.get_by_text("Oona’s phone shows Oona’s list now.")).to_be_visible()
    axe(either)
    fits(either)
    either.get_by_role("link", name="All devices").click()
    assert Device.objects.filter(member=home["oona"]).count() == 1
    expect(either.locator(".dev", has_text="Oona").locator("li")).to_have_count(1)
    axe(either)
    fits(either)

    other.goto(link)
    expect(other.get_by_role("heading", name="Ask for a new code")).to_be_visible()
    axe(other)
    fits(other)


def test_a_child_without_a_camera_types_the_code(
    phone: Page, other: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    let_in(phone, home)
    address = phone.locator(".address").inner_text()
    code = phone.locator(".typed-code").inner_text()
    assert address == f"{home['server'].url.split('://')[1]}/in"

    other.goto(f"http://{address}")
    axe(other)
    fits(other)
    field = other.get_by_label("The code")
    field.fill("AAAA-AAAA")
    other.get_by_role("button", name="Go on").tap()
    expect(other.locator("#errors")).to_be_focused()
    axe(other)
    field.fill(code.lower().replace("-", " "))
    other.get_by_role("button", name="Go on").tap()
    other.get_by_role("button", name="Yes, I am Oona").tap()
    expect(other.get_by_role("checkbox", name="Lay the table, done")).to_be_visible()


def test_the_kitchens_screen_comes_in_by_the_picture(
    laptop: Page, browser: Browser, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    base = sign_in(laptop, home["server"], home["marit"])
    laptop.goto(f"{base}/devices/")
    laptop.get_by_role("link", name="Add a screen for everybody").click()
    axe(laptop)
    laptop.get_by_role("button", name="Make a code for it").click()
    link = read_picture(laptop)
    for tablet in watched(opened(browser, LAPTOP)):
        tablet.goto(link)
        axe(tablet)
        fits(tablet)
        tablet.get_by_role("button", name="Yes, this is the screen").click()
        expect(tablet.get_by_role("heading", name="To do today")).to_be_visible()
        assert tablet.url == f"{base}/board/"
        expect(laptop.get_by_text("shows today’s list now.")).to_be_visible()
        # It opens nothing else.
        gone = tablet.goto(f"{base}/members/")
        assert gone is not None and gone.status == 404

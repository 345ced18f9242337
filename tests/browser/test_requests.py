"""Asking for help by phone: eight touches at most, somebody takes it, safety comes first."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.areas.models import Area
from household.requests.models import Request
from tests.browser.signing import sign_in, sign_in_screen
from tests.factories import make_area, make_household, make_member
from tests.requests.making import make_appliance, make_outsider, make_photo, make_request
from tests.requests.pictures import jpeg

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    return {
        "household": household,
        "marit": make_member(household, "Marit", role="organiser", free_minutes=[90] * 7),
        "dev": make_member(household, "Dev", free_minutes=[90] * 7),
        "oona": make_member(household, "Oona", role="child", age_band="8_11"),
        "bathroom": make_area(household, "Bathroom"),
        "server": live_server,
    }


class Touches:
    """Counts what a thumb does; typing is one touch, as is taking a picture."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def tap(self, target: Any) -> None:
        target.tap()
        self.count += 1

    def type(self, label: str, words: str) -> None:
        with self.page.expect_response("**/look/"):
            self.page.get_by_label(label).fill(words)
        self.count += 1

    def photograph(self, path: Path) -> None:
        with self.page.expect_file_chooser() as chosen:
            self.tap(self.page.get_by_label("A photo"))
        chosen.value.set_files(path)
        self.count += 1

    def choose(self, label: str, words: str) -> None:
        """Opening the list and touching a line of it."""
        self.page.get_by_label(label).select_option(label=words)
        self.count += 2


def test_a_repair_with_a_photo_in_eight_touches_and_taken_into_the_week(
    phone: Page, browser: Any, home: dict[str, Any], tmp_path: Path
) -> None:
    picture = tmp_path / "tap.jpg"
    picture.write_bytes(jpeg(1200, 900))
    base = sign_in(phone, home["server"], home["dev"])
    phone.goto(f"{base}/today/")
    thumb = Touches(phone)
    thumb.tap(phone.get_by_role("link", name="Ask", exact=True))
    send = phone.get_by_role("button", name="Ask", exact=True)
    expect(send).to_be_in_viewport()
    thumb.type("What do you need?", "The tap drips")
    thumb.photograph(picture)
    thumb.choose("Where?", "Bathroom")
    thumb.tap(send)
    expect(phone.get_by_role("heading", name="The tap drips")).to_be_visible()
    assert thumb.count <= 8, thumb.count
    shown = phone.get_by_role("img", name="Photo 1 of 1: The tap drips")
    expect(shown).to_be_visible()
    assert shown.evaluate("image => image.naturalWidth") == 1200
    asked = Request.objects.get()
    assert (asked.kind, asked.area) == ("repair", home["bathroom"])

    context = browser.new_context(viewport={"width": 360, "height": 780}, has_touch=True)
    other = context.new_page()
    sign_in(other, home["server"], home["marit"])
    other.goto(f"{base}/today/")
    expect(other.get_by_text("Dev asks for help: The tap drips")).to_be_visible()
    other.get_by_role("link", name="Look", exact=True).tap()
    other.get_by_role("button", name="I’ll do it").tap()
    expect(other.get_by_text("It is on your list.")).to_be_visible()
    other.get_by_role("link", name="Week", exact=True).tap()
    expect(other.locator("table.wk")).to_contain_text("The tap drips")
    other.goto(f"{base}/today/")
    other.get_by_role("checkbox", name="The tap drips, done").tap()
    expect(other.locator("li.row", has_text="The tap drips")).to_contain_text("Done at")
    context.close()

    phone.goto(f"{base}/today/")
    phone.get_by_role("button", name="Thank you").tap()
    expect(phone.locator("main")).to_contain_text("and thanked")


def test_an_emergency_says_first_to_get_safe(
    phone: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    base = sign_in(phone, home["server"], home["oona"])
    phone.goto(f"{base}/ask/")
    phone.get_by_label("What do you need?").fill("It smells of gas here")
    safe = phone.locator("#look")
    expect(safe).to_contain_text("Get safe first")
    expect(safe).to_contain_text("Everybody out, now")
    expect(safe.get_by_role("link", name="Emergency: 112")).to_have_attribute("href", "tel:112")
    axe(phone)
    fits(phone)
    phone.get_by_role("button", name="Ask", exact=True).tap()
    expect(phone.get_by_text("The grown-ups are asked.")).to_be_visible()
    top = phone.locator(".safe").bounding_box()
    assert top and top["y"] < 200, "before anything else"
    phone.goto(f"{base}/ask/")
    phone.get_by_role("link", name="Is something dangerous right now?").tap()
    expect(phone.get_by_role("heading", name="The carbon monoxide alarm sounds")).to_be_visible()
    axe(phone)
    fits(phone)


def test_asking_works_without_script(browser: Any, home: dict[str, Any], tmp_path: Path) -> None:
    picture = tmp_path / "tap.jpg"
    picture.write_bytes(jpeg(400, 300))
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    base = sign_in(page, home["server"], home["dev"])
    page.goto(f"{base}/ask/")
    page.get_by_label("What do you need?").fill("The socket sparks")
    page.get_by_label("A photo").set_input_files(picture)
    page.get_by_role("button", name="Ask", exact=True).click()
    expect(
        page.get_by_role("heading", name="Is this happening now? Get safe first.")
    ).to_be_visible()
    assert Request.objects.get().photos.count() == 1
    context.close()


def test_a_text_is_copied(laptop: Page, home: dict[str, Any], axe: Reader) -> None:
    asked = make_request(home["household"], home["oona"], "Oona’s lamp is dark", kind="repair")
    base = sign_in(laptop, home["server"], home["marit"])
    laptop.context.grant_permissions(["clipboard-read", "clipboard-write"])
    laptop.goto(f"{base}/requests/{asked.pk}/text/")
    laptop.get_by_role("button", name="Copy the text").click()
    expect(laptop.get_by_text("Copied.")).to_be_visible()
    copied = laptop.evaluate("navigator.clipboard.readText()")
    assert "our child’s lamp is dark" in copied and "Oona" not in copied
    axe(laptop)


def test_no_page_of_requests_has_an_axe_finding(
    either: Page, axe: Reader, fits: Reader, home: dict[str, Any]
) -> None:
    household, marit = home["household"], home["marit"]
    now = timezone.now()
    area: Area = home["bathroom"]
    asked = make_request(
        household, home["oona"], "My lamp socket is loose", kind="repair", area=area, now=now
    )
    make_photo(asked)
    make_request(household, home["dev"], "Carry the old sofa down", kind="carrying", now=now)
    imre = make_outsider(household, trade="Electrician", phone="01632 960127")
    asked.estimates.create(household=household, who="Imre Volk", outsider=imre, amount=65)
    dryer = make_appliance(household, area=area, kind="dryer", manual="https://example.org/")
    base = sign_in(either, home["server"], marit)
    for path in (
        "ask/",
        "requests/",
        f"requests/{asked.pk}/",
        f"requests/{asked.pk}/text/",
        "requests/settings/",
        f"requests/areas/{area.pk}/",
        "requests/outside/",
        "requests/outside/new/",
        f"requests/outside/{imre.pk}/",
        "requests/register/",
        "requests/register/new/",
        f"requests/register/{dryer.pk}/",
        f"requests/register/{dryer.pk}/change/",
        "today/",
    ):
        response = either.goto(f"{base}/{path}")
        assert response is not None and response.status == 200, path
        for summary in either.locator("main summary").all():
            summary.click()
        axe(either)
        fits(either)


def test_the_shared_screen_asks_by_a_mark(
    either: Page, axe: Reader, fits: Reader, home: dict[str, Any]
) -> None:
    household = home["household"]
    base = sign_in_screen(either, home["server"], household, home["marit"])
    either.goto(f"{base}/board/")
    either.get_by_role("link", name="Ask for help").click()
    axe(either)
    fits(either)
    either.get_by_label("What do you need?").fill("Reach the top shelf")
    either.get_by_role("button", name="Ask", exact=True).click()
    expect(either.get_by_text("Touch your mark, so that it is known who asks.")).to_be_visible()
    expect(either.get_by_label("What do you need?")).to_have_value("Reach the top shelf")
    axe(either)
    either.get_by_role("radio", name="Oona").check(force=True)
    either.get_by_role("button", name="Ask", exact=True).click()
    expect(either.get_by_role("heading", name="It is asked.")).to_be_visible()
    axe(either)
    fits(either)
    asked = Request.objects.get()
    assert asked.asker == home["oona"] and asked.device is not None

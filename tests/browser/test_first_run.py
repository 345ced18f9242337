"""From an empty hub to the first tick, on a phone and on a laptop, with the touches counted."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page, expect

from household.areas.models import Area
from household.chores.models import Chore, State, Task
from household.people.models import Household, Member
from household.start import code
from tests.browser.conftest import Reader, opened
from tests.browser.launch import PHONE

pytestmark = pytest.mark.django_db(transaction=True)

MOST_TOUCHES = 20


@dataclass
class Thumb:
    """Touches, counted: one for each field that is typed in, two for a choice from a list."""

    page: Page
    touches: int = 0

    def touch(self, selector: str) -> None:
        self.touches += 1
        self.page.click(selector)

    def type(self, name: str, text: str) -> None:
        self.touches += 1
        self.page.fill(f"[name={name}]", text)

    def choose(self, name: str, value: str) -> None:
        self.touches += 2
        self.page.select_option(f"[name={name}]", value)


def begin(thumb: Thumb) -> None:
    thumb.type("code", code.new_code())
    thumb.type("name", "Hollin Row 12")
    thumb.type("person", "Nadia")
    thumb.type("password", "larch-and-rowan-26")
    thumb.touch("text=Make our household")
    thumb.page.wait_for_url("**/start/members/")


def test_from_nothing_to_the_first_tick(
    either: Page, live_server: object, axe: Reader, fits: Reader
) -> None:
    page, thumb = either, Thumb(either)

    def looked_at() -> None:
        axe(page)
        fits(page)

    page.goto(f"{live_server}/")
    page.wait_for_url("**/start/")
    looked_at()
    begin(thumb)

    thumb.type("name_1", "Tomas")
    thumb.type("name_2", "Ilo")
    thumb.choose("age_2", "8_11")
    looked_at()
    thumb.touch("text=Go on to areas")
    page.wait_for_url("**/start/areas/")

    expect(page.locator("[name=names_child_bedroom]")).to_have_value("Ilo’s room")
    looked_at()
    thumb.touch("text=Go on to chores")
    page.wait_for_url("**/start/chores/")

    looked_at()
    button = page.locator(".save .btn")
    words = button.inner_text()
    thumb.touch(".save .btn")
    page.wait_for_url("**/today/")

    tick = page.locator(".row.open .tick").first
    tick.click()
    thumb.touches += 1
    expect(page.locator(".row.done .tick")).to_have_attribute("aria-checked", "true")
    expect(page.locator(".row.done .undo")).to_be_visible()
    looked_at()

    assert Member.objects.count() == 3
    assert Area.objects.count() == 6
    assert words == f"Add these {Chore.objects.count()} chores"
    assert Chore.objects.count() >= 20
    assert Task.objects.filter(state=State.DONE).count() == 1
    print(f"\nfirst run to first tick: {thumb.touches} touches, 3 members, 6 areas, {words}")
    assert thumb.touches <= MOST_TOUCHES


def test_the_browsers_own_zone_and_the_country_fill_in_the_habits(
    browser: Browser, live_server: object, fits: Reader
) -> None:
    context = opened(browser, PHONE, timezone_id="America/Los_Angeles")
    page = context.new_page()
    page.goto(f"{live_server}/start/")
    expect(page.locator("[name=country]")).to_have_value("US")
    expect(page.locator("[name=time_zone]")).to_have_value("America/Los_Angeles")
    page.fill("[name=name]", "Hollin Row 12")
    page.locator("#usual-fields > summary").click()
    page.select_option("[name=country]", "NO")
    expect(page.locator("[name=time_zone]")).to_have_value("Europe/Oslo")
    expect(page.locator("#usual-fields")).to_have_attribute("open", "")
    expect(page.locator("[name=name]")).to_have_value("Hollin Row 12")
    fits(page)
    begin(Thumb(page))
    household = Household.objects.get()
    assert (household.country, household.time_zone, household.paper) == ("NO", "Europe/Oslo", "A4")
    context.close()


def test_a_wrong_code_says_what_to_do_and_keeps_the_rest(
    either: Page, live_server: object, axe: Reader
) -> None:
    code.new_code()
    either.goto(f"{live_server}/start/")
    either.fill("[name=code]", "AAAA-AAAA")
    either.fill("[name=name]", "Hollin Row 12")
    either.fill("[name=person]", "Nadia")
    either.fill("[name=password]", "larch-and-rowan-26")
    either.click("text=Make our household")
    expect(either.locator("#errors")).to_be_focused()
    expect(either.locator("#id_code_error")).to_contain_text("That is not the code.")
    expect(either.locator("[name=name]")).to_have_value("Hollin Row 12")
    expect(either.locator("[name=password]")).to_have_value("larch-and-rowan-26")
    axe(either)


def test_sums_follow_the_ticks_and_the_minutes(
    either: Page, live_server: object, axe: Reader, fits: Reader
) -> None:
    either.goto(f"{live_server}/start/")
    begin(Thumb(either))
    either.click(".save .act")
    either.click("text=Go on to chores")
    either.wait_for_url("**/start/chores/")
    figure, button = either.locator("#week-minutes"), either.locator(".save .btn")
    before, count = int(figure.inner_text()), int(button.inner_text().split()[2])
    kitchen = either.locator("details.offers").first
    kitchen.locator("> summary").click()
    row = kitchen.locator(".pick", has_text="Wash up")
    row.locator(".change > summary").click()
    axe(either)
    fits(either)
    row.locator("[name^=minutes_]").fill("25")
    expect(figure).to_have_text(str(before + 70))
    row.locator(".do input").uncheck()
    expect(figure).to_have_text(str(before - 105))
    expect(button).to_have_text(f"Add these {count - 1} chores")

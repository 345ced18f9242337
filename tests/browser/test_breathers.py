"""What does us good, on a phone and a laptop: begun with a touch, changed by hand, axe-clean."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from household.breathers.models import Breather, Company, Offer
from household.people.actions import touch_household
from tests.browser.signing import sign_in, sign_in_screen
from tests.factories import make_household, make_member

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    return {
        "household": household,
        "marit": make_member(household, "Marit", role="organiser", free_minutes=[90] * 7),
        "dev": make_member(household, "Dev", free_minutes=[90] * 7),
        "server": live_server,
    }


def test_ideas_are_begun_with_offered_and_changed(
    either: Page, axe: Reader, fits: Reader, home: dict[str, Any]
) -> None:
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/more/")
    either.get_by_role("link", name="What does us good?").click()
    axe(either)
    fits(either)
    either.get_by_role("button", name="Begin with a few ideas").click()
    expect(either.get_by_text("ideas to begin with")).to_be_visible()
    axe(either)
    fits(either)

    either.get_by_role("link", name="Add an idea").first.click()
    either.get_by_label("What does you good?").fill("Learn to juggle")
    axe(either)
    fits(either)
    either.get_by_label("For two").check(force=True)
    expect(either.get_by_text("Me; nobody else sees it")).to_be_hidden()
    either.get_by_label("For oneself").check(force=True)
    either.get_by_text("Me; nobody else sees it").click()
    either.get_by_role("button", name="Add it").click()
    expect(either.get_by_text("“Learn to juggle” is on the list.")).to_be_visible()
    assert Breather.objects.get(name="Learn to juggle").private

    together = Offer.objects.filter(company=Company.ALL).earliest("starts")
    either.goto(f"{base}/breathers/offers/{together.pk}/")
    axe(either)
    fits(either)
    either.get_by_role("button", name="Another idea").click()
    together.refresh_from_db()
    expect(either.get_by_role("heading", level=1)).to_have_text(together.breather.name)
    either.get_by_role("button", name="Whichever day suits").click()
    expect(either.get_by_role("button", name="Whichever day suits")).to_have_attribute(
        "aria-current", "true"
    )
    either.get_by_role("button", name="Not this week").click()
    axe(either)
    either.get_by_role("button", name="Have it after all").click()
    expect(either.get_by_role("button", name="Not this week")).to_be_visible()


def test_today_the_week_and_the_screen_show_it(
    either: Page, axe: Reader, fits: Reader, home: dict[str, Any]
) -> None:
    household = home["household"]
    base = sign_in(either, home["server"], home["dev"])
    either.goto(f"{base}/breathers/")
    either.get_by_role("button", name="Begin with a few ideas").click()
    Offer.objects.update(day=household.today(household.created_at))
    touch_household(household.pk)
    mine = Offer.objects.filter(member=home["dev"], company=Company.ONESELF).earliest("starts")
    for path in ("today/", "week/"):
        either.goto(f"{base}/{path}")
        expect(either.get_by_role("link", name=f"{mine.breather.name}, for you")).to_be_visible()
        axe(either)
        fits(either)
    either.context.clear_cookies()
    base = sign_in_screen(either, home["server"], household, home["marit"])
    either.goto(f"{base}/board/")
    expect(either.get_by_role("heading", name="Today for ourselves")).to_be_visible()
    axe(either)
    fits(either)

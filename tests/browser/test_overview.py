"""The overview on a phone and on a laptop: settled with a touch, taken back with another."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores.models import State, Task
from tests.browser.signing import sign_in
from tests.factories import make_area, make_chore, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    """Two people, four weeks of uneven ticks, and two tasks that are late."""
    household = make_household(time_zone="UTC")
    wren = make_member(household, "Wren", role="organiser", free_minutes=[60] * 7)
    tomas = make_member(household, "Tomas", free_minutes=[0] * 7)
    today = timezone.now().date()
    make_chore(household, "Bins", keeper=wren, now=timezone.now())
    for ago, who, minutes in ((60, wren, 5), (9, wren, 120), (3, tomas, 20)):
        day = today - timedelta(days=ago)
        make_task(
            household,
            state=State.DONE,
            minutes=minutes,
            day=day,
            done_on=day,
            done_by=who,
            kept_by=wren,
            kept_minutes=10,
        )
    for ago, name, level in ((4, "Change the beds", "clean"), (2, "Sweep the yard", "tidy")):
        day = today - timedelta(days=ago)
        area = make_area(household, tidy_days=3)
        make_task(household, name, day=day, member=tomas, level=level, area=area, minutes=30)
    return {"household": household, "wren": wren, "tomas": tomas, "server": live_server}


def test_one_touch_settles_all_and_one_takes_it_back(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    base = sign_in(either, home["server"], home["wren"])
    either.goto(f"{base}/overview/")
    expect(either.get_by_text("Wren did more than the share you agreed.")).to_be_visible()
    axe(either)
    either.get_by_role("button", name="Settle all two").click()
    expect(either.get_by_text("2 tasks have a person and a day now.")).to_be_visible()
    expect(either.get_by_role("heading", name="What is overdue?")).to_have_count(0)
    beds = Task.objects.get(name="Change the beds")
    assert (beds.member, beds.day) == (home["wren"], timezone.now().date())
    axe(either)
    either.get_by_role("button", name="Undo").click()
    expect(either.get_by_text("Taken back: it stands as it did before.")).to_be_visible()
    beds.refresh_from_db()
    assert beds.member == home["tomas"]
    assert beds.is_late(timezone.now().date())
    fits(either)


def test_move_and_lighter_by_keyboard_alone(
    laptop: Page, home: dict[str, Any], fits: Reader
) -> None:
    base = sign_in(laptop, home["server"], home["wren"])
    laptop.goto(f"{base}/overview/")
    row = laptop.locator("tr", has_text="Sweep the yard")
    row.locator("summary").focus()
    laptop.keyboard.press("Enter")
    saturday = timezone.now().date() + timedelta(days=3)
    row.locator("input[type=date]").fill(saturday.isoformat())
    fits(laptop)
    row.get_by_role("button", name="Move it").focus()
    laptop.keyboard.press("Enter")
    expect(laptop.get_by_text("“Sweep the yard”: you moved it to")).to_be_visible()
    assert Task.objects.get(name="Sweep the yard").day == saturday

    beds = laptop.locator("tr", has_text="Change the beds")
    beds.get_by_role("button", name="Lighter").focus()
    laptop.keyboard.press("Enter")
    expect(laptop.get_by_text("you made it tidy, 15 min")).to_be_visible()
    assert Task.objects.get(name="Change the beds").level == "tidy"


def test_keeping_is_handed_over_and_the_history_tells(
    either: Page, home: dict[str, Any], axe: Reader
) -> None:
    base = sign_in(either, home["server"], home["wren"])
    either.goto(f"{base}/overview/")
    either.get_by_role("link", name="Who keeps what?").click()
    either.get_by_label("What?").select_option(label="the one chore Wren keeps")
    either.get_by_label("To whom?").select_option(label="Tomas")
    either.get_by_role("button", name="Hand it over").click()
    expect(either.get_by_text("“Bins” is kept in mind by Tomas now.")).to_be_visible()
    axe(either)
    either.goto(f"{base}/overview/history/")
    either.get_by_label("What happened").select_option(label="Handed over")
    told = either.locator("#history li")
    expect(told).to_have_count(1)
    expect(told).to_contain_text("handed its keeping to Tomas")
    axe(either)
    told.get_by_role("button", name="Undo").click()
    expect(either.get_by_text("Taken back: it stands as it did before.")).to_be_visible()

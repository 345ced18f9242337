"""A helper from outside, end to end: a list is made, opened by its link, ticked, and stopped."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from household.chores.models import State, Task
from household.people.models import Household
from tests.browser.conftest import opened, watched
from tests.browser.launch import PHONE
from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member, make_task
from tests.helpers.making import make_list, make_note

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

Reader = Callable[[Page], None]


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    marit, today = make_member(household, "Marit", role="organiser"), timezone.now().date()
    hall, bath = make_area(household, "Hall"), make_area(household, "Bathroom")
    tasks = [
        make_task(household, "Mop the hall", area=hall, minutes=20, member=marit, day=today),
        make_task(household, "Scrub the bath", area=bath, minutes=15, level="deep", day=today),
        make_task(household, "Pay the rent", minutes=5, day=today),
    ]
    make_note(household, "The alarm", "It beeps for thirty seconds.")
    return {"household": household, "marit": marit, "tasks": tasks, "server": live_server}


@pytest.fixture
def stranger(browser: Browser) -> Iterator[Page]:
    """The helper's own phone: a context that has never been here."""
    yield from watched(opened(browser, PHONE))


def make_by_hand(page: Page, base: str) -> str:
    """The steps an organiser takes; returns the address that the page shows."""
    page.goto(f"{base}/helpers/")
    page.get_by_role("link", name="Make a list").click()
    page.get_by_label("What is the name?").fill("Rosa")
    page.get_by_label("A word to begin with").fill("Tea is in the tin.")
    page.get_by_label("The alarm").check()
    page.get_by_role("button", name="Next: choose the tasks").click()
    page.get_by_label("All of these: Hall").check()
    page.get_by_label("Scrub the bath").check()
    expect(page.locator("#picked")).to_have_text("2 tasks, 35 min")
    page.get_by_role("button", name="Make the address").click()
    return page.get_by_label("The address").input_value()


def test_a_list_is_made_ticked_by_link_and_stopped(
    either: Page, stranger: Page, home: dict[str, Any], axe: Reader, fits: Reader
) -> None:
    page, base = either, sign_in(either, home["server"], home["marit"])
    link = make_by_hand(page, base)
    expect(page.locator(".square svg")).to_be_visible()
    axe(page)
    fits(page)

    answer = stranger.goto(link)
    assert answer is not None and answer.headers["referrer-policy"] == "no-referrer"
    expect(stranger.locator("#to-go")).to_have_text("35")
    expect(stranger.get_by_text("Tea is in the tin.")).to_be_visible()
    expect(stranger.get_by_text("It beeps for thirty seconds.")).to_be_visible()
    assert "Pay the rent" not in stranger.content() and "Marit" not in stranger.content()
    axe(stranger)
    fits(stranger)
    tick = stranger.get_by_role("checkbox", name="Mop the hall, done")
    tick.tap()
    expect(tick).to_be_checked()
    expect(stranger.locator("#to-go")).to_have_text("15")
    stranger.locator(f"#undo-{home['tasks'][0].pk}").tap()
    expect(tick).not_to_be_checked()
    tick.tap()
    expect(tick).to_be_checked()
    stranger.locator("summary", has_text="Say how long it took").tap()
    stranger.get_by_label("How long did it take?").fill("30")
    stranger.get_by_label("A word about it").first.fill("The mop is worn out.")
    axe(stranger)
    stranger.get_by_role("button", name="Send it").first.tap()
    expect(stranger.locator(".said")).to_contain_text("The mop is worn out.")
    fits(stranger)

    page.goto(f"{base}/today/")
    page.get_by_text("Rosa, from outside, on “Mop the hall”").wait_for()
    page.get_by_role("link", name="Look").click()
    expect(page.get_by_text("1 of 2 done, 30 min by the helper")).to_be_visible()
    expect(page.get_by_text("The mop is worn out.")).to_be_visible()
    axe(page)
    fits(page)
    page.get_by_role("button", name="Stop the list").click()
    expect(page.get_by_role("button", name="Let it answer again").first).to_be_visible()
    gone = stranger.goto(link)
    assert gone is not None and gone.status == 404
    axe(stranger)
    done, left, _ = [Task.objects.get(pk=task.pk) for task in home["tasks"]]
    assert (done.state, done.helper, done.minutes_taken) == (State.DONE, "Rosa", 30)
    assert (left.state, left.helper, left.member) == (State.OPEN, "", None)


def test_without_script_it_is_read_and_ticked(browser: Browser, home: dict[str, Any]) -> None:
    today = timezone.now().date()
    _, token = make_list(
        home["marit"], home["tasks"][:2], starts=today, ends=today, now=timezone.now()
    )
    context = opened(browser, PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{home['server'].url}/help/{token}/")
    page.get_by_role("checkbox", name="Scrub the bath, done").tap()
    expect(page.get_by_role("checkbox", name="Scrub the bath, done")).to_be_checked()
    assert page.url.endswith(f"#task-{home['tasks'][1].pk}")
    page.locator("summary", has_text="Leave a word").last.tap()
    page.get_by_label("A word about it").last.fill("Done with care.")
    page.get_by_role("button", name="Send it").last.tap()
    expect(page.locator(".said")).to_contain_text("Done with care.")
    context.close()
    task = Task.objects.get(pk=home["tasks"][1].pk)
    assert (task.state, task.helper) == (State.DONE, "Rosa")


@pytest.mark.parametrize("path", ["", "new/", "notes/", "notes/new/"])
def test_every_page_is_sound(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader, path: str
) -> None:
    household: Household = home["household"]
    today = timezone.now().date()
    make_list(home["marit"], home["tasks"][:1], starts=today, ends=today, now=timezone.now())
    make_task(household, "The boiler", day=today, limits={"dangers": ["gas"]})
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/helpers/{path}")
    axe(either)
    fits(either)


@pytest.mark.parametrize("path", ["", "change/", "tasks/", "tasks/?by=day"])
def test_every_page_of_a_list_is_sound(
    either: Page, home: dict[str, Any], axe: Reader, fits: Reader, path: str
) -> None:
    today = timezone.now().date()
    made, _ = make_list(
        home["marit"],
        home["tasks"][:1],
        starts=today,
        ends=today + timedelta(days=2),
        now=timezone.now(),
    )
    make_task(home["household"], "The boiler", day=today, limits={"dangers": ["gas"]})
    base = sign_in(either, home["server"], home["marit"])
    either.goto(f"{base}/helpers/{made.pk}/{path}")
    axe(either)
    fits(either)

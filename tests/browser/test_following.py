"""An open Today follows what the others do, and leaves alone what is under one's own hand."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from household.chores import ticking
from household.chores.horizon import horizon_of
from household.chores.models import Task
from household.people.models import Member
from tests.browser.signing import sign_in
from tests.factories import make_area, make_household, make_member, make_task

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]
WITHIN = 5000  # milliseconds


@pytest.fixture
def home(live_server: Any) -> dict[str, Any]:
    household = make_household(time_zone="UTC")
    marit = make_member(household, "Marit", role="organiser")
    wren = make_member(household, "Wren")
    area = make_area(household, "Kitchen")
    day = timezone.now().date()
    for name in ("Feed the rabbit", "Water the plants", "Sweep the yard"):
        make_task(household, name, day=day, member=wren, area=area)
    for name in ("Lay the table", "Post the parcel"):
        make_task(household, name, day=day, member=marit, area=area)
    return {"household": household, "marit": marit, "wren": wren, "server": live_server}


def hand(name: str, to: Member | None, by: Member) -> None:
    ticking.assign(task=Task.objects.get(name=name), to=to, actor=by, now=timezone.now())


def done(name: str, by: Member) -> None:
    now = timezone.now()
    ticking.tick(
        task=Task.objects.get(name=name), member=by, now=now, horizon=horizon_of(now.date())
    )


def row(page: Page, name: str) -> Any:
    return page.locator("li.row", has_text=name)


def tick(page: Page, name: str) -> Any:
    return page.get_by_role("checkbox", name=f"{name}, done")


def test_what_others_do_shows_within_five_seconds(either: Page, home: dict[str, Any]) -> None:
    base = sign_in(either, home["server"], home["wren"])
    either.goto(f"{base}/today/")
    tick(either, "Water the plants").focus()
    hand("Lay the table", home["wren"], home["marit"])
    expect(row(either, "Lay the table")).to_be_visible(timeout=WITHIN)
    expect(either.locator("#to-go")).to_have_text("40")
    expect(either.locator("#toast")).to_have_text("New on the list: Lay the table.")
    expect(tick(either, "Water the plants")).to_be_focused()

    done("Sweep the yard", home["marit"])
    expect(row(either, "Sweep the yard")).to_have_class(re.compile("done"), timeout=WITHIN)
    hand("Feed the rabbit", home["marit"], home["marit"])
    expect(row(either, "Feed the rabbit")).to_have_count(0, timeout=WITHIN)
    expect(either.locator("aside.others")).to_contain_text("2 to do", timeout=WITHIN)
    expect(tick(either, "Water the plants")).to_be_focused()


def test_a_row_that_came_by_itself_can_be_ticked(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    hand("Lay the table", home["wren"], home["marit"])
    expect(row(phone, "Lay the table")).to_be_visible(timeout=WITHIN)
    tick(phone, "Lay the table").click()
    expect(row(phone, "Lay the table")).to_contain_text("Done at")
    assert Task.objects.get(name="Lay the table").done_by == home["wren"]


def test_a_row_just_ticked_stays_with_its_question_until_the_page_is_left(
    phone: Page, home: dict[str, Any]
) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    tick(phone, "Feed the rabbit").click()
    expect(row(phone, "Feed the rabbit")).to_contain_text("Took 10 min?")
    hand("Lay the table", home["wren"], home["marit"])
    expect(row(phone, "Lay the table")).to_be_visible(timeout=WITHIN)
    expect(row(phone, "Feed the rabbit")).to_contain_text("Took 10 min?")
    expect(row(phone, "Feed the rabbit")).to_have_count(1)
    expect(phone.locator("#to-go")).to_have_text("30")
    phone.reload()
    expect(row(phone, "Feed the rabbit")).not_to_contain_text("Took 10 min?")


def test_ticks_that_wait_for_the_network_are_not_undone_by_news(
    phone: Page, home: dict[str, Any]
) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    phone.route("**/tick/", lambda route: route.abort())
    tick(phone, "Feed the rabbit").click()
    expect(phone.locator("#offline")).not_to_be_empty()
    hand("Lay the table", home["wren"], home["marit"])
    expect(row(phone, "Lay the table")).to_be_visible(timeout=WITHIN)
    expect(tick(phone, "Feed the rabbit")).to_be_checked()
    expect(row(phone, "Feed the rabbit")).to_have_class(re.compile("sending"))


def test_a_page_that_nobody_sees_does_not_ask(phone: Page, home: dict[str, Any]) -> None:
    base = sign_in(phone, home["server"], home["wren"])
    phone.goto(f"{base}/today/")
    seen = "Object.defineProperty(document, 'hidden', {{ configurable: true, get: () => {} }})"
    phone.evaluate(seen.format("true"))
    phone.wait_for_timeout(300)
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url.removeprefix(base)))
    phone.wait_for_timeout(4500)
    assert asked == []
    phone.evaluate(seen.format("false"))
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    phone.wait_for_timeout(500)
    assert asked == ["/today/"]

"""The demo's pages on the smallest screen, in either direction, and with text twice as large."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page

from household import daily
from household.chores.models import State, Task
from household.demo.load import load_demo
from household.requests.models import Request
from tests.browser.conftest import Reader
from tests.browser.signing import sign_in, sign_in_screen

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

TOUCHED = "a.btn, button.btn, a.act, button.act, .take, .tick, summary, .marks button"
SMALLEST = 44  # CSS px: WCAG 2.2, 2.5.5 Target Size (Enhanced), for what a thumb is asked to hit


def read_at_every_size(page: Page, fits: Reader, address: str) -> None:
    """WCAG 2.2: 1.4.10 Reflow at 320 CSS px, 1.4.4 Resize Text at 200 %."""
    response = page.goto(address)
    assert response is not None and response.status == 200, address
    page.set_viewport_size({"width": 320, "height": 640})
    fits(page)
    page.evaluate("document.documentElement.dir = 'rtl'")
    fits(page)
    page.evaluate("document.documentElement.dir = 'ltr'")
    page.set_viewport_size({"width": 360, "height": 780})
    assert too_small(page) == [], address
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    fits(page)


def too_small(page: Page) -> list[str]:
    """Buttons and links that act and are lower or narrower than a thumb needs."""
    found: list[str] = page.evaluate(
        """([wanted, least]) => [...document.querySelectorAll(wanted)]
          .filter((each) => each.checkVisibility({ visibilityProperty: true }))
          .filter((each) => !each.closest('.vh'))
          .map((each) => [each.textContent.trim().slice(0, 30), each.getBoundingClientRect()])
          .filter(([, box]) => box.width && (box.height < least - .5 || box.width < least - .5))
          .map(([words, box]) => `${words}: ${Math.round(box.width)} x ${Math.round(box.height)}`)
        """,
        [TOUCHED, SMALLEST],
    )
    return found


def test_pages_of_a_lived_in_home_fit_the_smallest_screen(
    phone: Page, live_server: Any, fits: Reader
) -> None:
    now = timezone.now()
    made = load_demo(now=now)
    daily.run(now=now, household=made.household)
    base = sign_in(phone, live_server, made.members["marit"])
    today = made.household.today(now)
    task = Task.objects.filter(household=made.household, state=State.OPEN).first()
    request = Request.objects.filter(estimates__isnull=False).first()
    assert task is not None and request is not None
    for path in (
        "today/",
        f"tasks/{task.pk}/",
        "hand/?from=everybody&days=week",
        "devices/",
        "calendars/",
        "calendars/new/",
        "calendars/import/",
        "ask/",
        "requests/",
        f"requests/{request.pk}/",
        "requests/outside/",
        "requests/register/",
        "requests/settings/",
        "week/",
        f"week/month/{today:%Y}/{today.month}/",
        f"week/year/{today:%Y}/",
        "week/ahead/",
        "overview/",
        "overview/history/",
        "overview/keepers/",
        "chores/minutes/",
        "settings/",
        "more/",
    ):
        read_at_every_size(phone, fits, f"{base}/{path}")


def test_pages_of_the_shared_screen_fit_the_smallest_screen(
    phone: Page, live_server: Any, fits: Reader
) -> None:
    now = timezone.now()
    made = load_demo(now=now)
    daily.run(now=now, household=made.household)
    base = sign_in_screen(phone, live_server, made.household, made.members["marit"])
    task = Task.objects.filter(household=made.household, state=State.OPEN).first()
    assert task is not None
    for path in ("", "week/", f"tasks/{task.pk}/", "ask/", "ask/emergency/"):
        read_at_every_size(phone, fits, f"{base}/board/{path}")

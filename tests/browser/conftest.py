"""A phone and a laptop in front of a live server, and axe to read every page."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.launch import ARGUMENTS, LAPTOP, PHONE, Screen, chromium

# Playwright keeps an event loop in the test's own thread, where Django would refuse its database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

MUST_RUN = "browser" in os.environ.get("HOUSEHOLD_TESTS_MUST_RUN", "")
MISSING = "No chromium is installed: apt-get install chromium"

# A busy machine answers late; a test that passes is not slower for it.
expect.set_options(timeout=15_000)

Reader = Callable[[Page], None]

# What sticks out, or holds what does: the innermost first.
TOO_WIDE = """() => [...document.querySelectorAll("main *")].reverse()
  .filter((each) => each.clientWidth && each.scrollWidth > each.clientWidth + 1)
  .filter((each) => getComputedStyle(each).overflowX === "visible")
  .map((each) => `${each.tagName}.${each.className}: ${each.textContent.trim().slice(0, 30)}`)
  .slice(0, 5)"""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "/tests/browser/" in str(item.path):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    path = chromium()
    if path is None:
        if MUST_RUN:
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    return {"executable_path": path, "args": list(ARGUMENTS)}


def opened(browser: Browser, screen: Screen, **options: Any) -> BrowserContext:
    context = browser.new_context(
        viewport={"width": screen.width, "height": screen.height},
        has_touch=screen is PHONE,
        reduced_motion="reduce",
        locale="en-GB",
        **options,
    )
    context.set_default_timeout(15000)
    return context


def watched(context: BrowserContext) -> Iterator[Page]:
    """A page on which no script may fail and nothing may break the content policy."""
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(f"script: {error}"))
    page.on(
        "console",
        lambda message: (
            problems.append(f"console: {message.text}")
            if "Content Security Policy" in message.text
            else None
        ),
    )
    yield page
    context.close()
    assert not problems, "\n".join(problems)


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    yield from watched(opened(browser, PHONE))


@pytest.fixture
def laptop(browser: Browser) -> Iterator[Page]:
    yield from watched(opened(browser, LAPTOP))


@pytest.fixture(params=[PHONE, LAPTOP], ids=lambda screen: screen.name)
def either(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    """The same test on a phone and on a laptop."""
    yield from watched(opened(browser, request.param))


@pytest.fixture(scope="session")
def axe() -> Reader:
    """`axe(page)` fails with what axe-core found and where, in both themes."""
    reader = Axe()

    def read(page: Page) -> None:
        findings = []
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            for broken in reader.run(page).response["violations"]:
                places = [str(node["target"]) for node in broken["nodes"][:5]]
                findings.append(f"{theme}: {broken['id']}: {broken['help']} at {', '.join(places)}")
        page.emulate_media(color_scheme="light")
        assert not findings, f"{page.url}\n" + "\n".join(findings)

    return read


@pytest.fixture(scope="session")
def fits() -> Reader:
    """`fits(page)` fails if the page can be scrolled sideways (WCAG 2.2, 1.4.10 Reflow)."""

    def measure(page: Page) -> None:
        wide, shown = page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        assert wide <= shown, (
            f"{page.url} is {wide} px wide in a window of {shown} px: {page.evaluate(TOO_WIDE)}"
        )

    return measure

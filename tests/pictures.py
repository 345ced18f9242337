"""Pictures of pages at 360 and 1280 px, light and dark, to look at.

    .venv/bin/python -m tests.pictures http://127.0.0.1:8000 --name Nadia --password ... PATH ...

Without paths it takes every page that the navigation of the first page leads to. They are saved
in .pictures/ (or HOUSEHOLD_PICTURES), which git ignores.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.launch import ARGUMENTS, LAPTOP, PHONE, Screen, chromium

FOLDER = Path(os.environ.get("HOUSEHOLD_PICTURES", ".pictures"))
THEMES = ("light", "dark")


def sign_in(page: Page, base: str, name: str, password: str) -> None:
    page.goto(urljoin(base, "/sign-in/"))
    page.fill("[name=username]", name)
    page.fill("[name=password]", password)
    page.click("main button")
    page.wait_for_load_state()


def reachable(page: Page, base: str) -> list[str]:
    """Pages of this hub that the navigation and the More page lead to."""
    links = page.eval_on_selector_all(".top a", "links => links.map(link => link.href)")
    more = [link for link in links if "/more/" in link]
    if more:
        page.goto(more[0])
        links += page.eval_on_selector_all("main a", "links => links.map(link => link.href)")
    return sorted({urlsplit(link).path for link in links if link.startswith(base)})


def file_name(path: str, screen: Screen, theme: str) -> str:
    words = "-".join(part for part in urlsplit(path).path.split("/") if part) or "start"
    return f"{words}-{screen.width}-{theme}.png"


def take(browser: Browser, wanted: argparse.Namespace, screen: Screen) -> list[Path]:
    context = browser.new_context(viewport={"width": screen.width, "height": screen.height})
    page = context.new_page()
    if wanted.name:
        sign_in(page, wanted.base, wanted.name, wanted.password)
    else:
        page.goto(wanted.base)
    saved = []
    for path in wanted.paths or reachable(page, wanted.base):
        for theme in THEMES:
            page.emulate_media(color_scheme=theme)
            page.goto(urljoin(wanted.base, path))
            saved.append(FOLDER / file_name(path, screen, theme))
            page.screenshot(path=saved[-1], full_page=not wanted.window)
    context.close()
    return saved


def main() -> int:
    parser = argparse.ArgumentParser(description="Take pictures of pages in both themes.")
    parser.add_argument("base", help="where the hub runs, for example http://127.0.0.1:8000")
    parser.add_argument("paths", nargs="*", help="pages; without any, all that are linked")
    parser.add_argument("--name", default="", help="who signs in")
    parser.add_argument("--password", default="")
    parser.add_argument("--window", action="store_true", help="only what the window shows")
    wanted = parser.parse_args()
    path = chromium()
    if path is None:
        print("No chromium is installed: apt-get install chromium", file=sys.stderr)
        return 1
    FOLDER.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        for screen in (PHONE, LAPTOP):
            for saved in take(browser, wanted, screen):
                print(saved)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())

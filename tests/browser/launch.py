"""Debian's chromium, for the browser tests and for the pictures. Nothing is downloaded."""

from __future__ import annotations

import shutil
from dataclasses import dataclass

# Quiet: no sandbox (CI runs as root), no GPU, nothing sent anywhere in the background.
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-domain-reliability",
    "--disable-sync",
    "--no-first-run",
)


@dataclass(frozen=True)
class Screen:
    name: str
    width: int
    height: int


PHONE = Screen("phone", 360, 780)
LAPTOP = Screen("laptop", 1280, 900)


def chromium() -> str | None:
    """The browser's path, or nothing where none is installed."""
    return shutil.which("chromium") or shutil.which("chromium-browser")

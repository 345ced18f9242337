"""Getting a member into a page without typing a password each time."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.test import Client
from playwright.sync_api import Page

from household.people.models import Member


def sign_in(page: Page, live_server: Any, member: Member) -> str:
    """Put the member's session into the page's cookies; returns the household's address."""
    client = Client()
    assert member.account is not None
    client.force_login(member.account)
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    page.context.add_cookies(
        [
            {
                "name": settings.SESSION_COOKIE_NAME,
                "value": cookie.value,
                "domain": urlsplit(live_server.url).hostname or "localhost",
                "path": "/",
            }
        ]
    )
    return f"{live_server.url}/h/{member.household_id}"

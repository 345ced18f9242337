"""Members and the shared screen in a page, without the way in, which has tests of its own."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page

from household.people.models import Household, Member
from tests.factories import screen_session


def sign_in(page: Page, live_server: Any, member: Member) -> str:
    """Put the member's session into the page's cookies; returns the household's address."""
    client = Client()
    assert member.account is not None
    client.force_login(member.account)
    _keep(page, live_server, client.cookies[settings.SESSION_COOKIE_NAME].value)
    return f"{live_server.url}/h/{member.household_id}"


def sign_in_screen(page: Page, live_server: Any, household: Household, by: Member) -> str:
    """Make the page's browser the household's shared screen."""
    _keep(page, live_server, screen_session(household, by, timezone.now()))
    return f"{live_server.url}/h/{household.pk}"


def _keep(page: Page, live_server: Any, key: str) -> None:
    host = urlsplit(live_server.url).hostname or "localhost"
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies([{"name": name, "value": key, "domain": host, "path": "/"}])

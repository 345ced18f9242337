"""Calendars for tests: made with their token, fetched by their address."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from household.feeds import door_views, texts
from household.feeds.actions import Wanted, make_feed
from household.feeds.models import Feed
from household.people.models import Member
from tests.factories import NOW
from tests.feeds import libical


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    """No test sees the texts of another one's tasks."""
    texts.forget()
    door_views.forget()


@pytest.fixture
def second_reader() -> libical.LibICal:
    return libical.load()


@pytest.fixture
def feed_for() -> Callable[..., tuple[Feed, str]]:
    """`feed_for(owner, kind="household", ...)` -> the feed and its token."""

    def make(owner: Member, kind: str = "member", **fields: Any) -> tuple[Feed, str]:
        if kind == "member":
            fields.setdefault("member", owner)
        wanted = Wanted(kind, fields.pop("label", "My phone"), **fields)
        return make_feed(owner=owner, wanted=wanted, now=NOW, key=uuid.uuid4())

    return make


@pytest.fixture
def fetch_feed() -> Callable[..., Any]:
    """A calendar program: no cookies, no session."""

    def get(token: str, what: str = "events", **headers: str) -> Any:
        client = Client(headers={"User-Agent": "Thunderbird/140", **headers})
        return client.get(reverse(f"feed_door:{what}", args=[token]))

    return get

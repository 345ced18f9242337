"""Every address of a household is shut to strangers, and asks nobody in without signing in."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from household.people.models import Household, Member

pytestmark = pytest.mark.django_db
VALUES = {"int": "1", "isodate": "2026-03-16", "str": "x", "slug": "x", "uuid": "x"}


def addresses() -> list[str]:
    """Each pattern below /h/<household>/, with plausible values filled in."""
    found = [path for path in _walk(get_resolver().url_patterns, "/") if path.startswith("/h/")]
    assert len(found) > 60
    return sorted(set(found))


def _walk(patterns: list[URLPattern | URLResolver], before: str) -> Iterator[str]:
    for pattern in patterns:
        path = before + _filled(str(pattern.pattern))
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, path)
        else:
            yield path


def _filled(route: str) -> str:
    while "<" in route:
        head, _, rest = route.partition("<")
        inside, _, tail = rest.partition(">")
        kind, _, name = inside.partition(":")
        value = "HOME" if name == "household_id" else VALUES.get(kind, "x")
        route = f"{head}{value}{tail}"
    return route


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_stranger_finds_nothing(method: str, household: Household, outsider: Member) -> None:
    client = Client()
    assert outsider.account is not None
    client.force_login(outsider.account)
    for address in addresses():
        answer = getattr(client, method)(address.replace("HOME", str(household.pk)))
        assert answer.status_code in (404, 405), f"{method} {address}: {answer.status_code}"


@pytest.mark.parametrize("method", ["get", "post"])
def test_nobody_gets_in_without_signing_in(method: str, household: Household) -> None:
    client = Client()
    for address in addresses():
        answer = getattr(client, method)(address.replace("HOME", str(household.pk)))
        assert answer.status_code in (302, 404, 405), f"{method} {address}: {answer.status_code}"
        if answer.status_code == 302:
            assert answer.headers["Location"].startswith("/sign-in/"), address

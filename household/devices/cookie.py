"""The cookie by which a browser is known again: given at a sign-in, never before one.

It opens nothing. It spares organisers a second notice of the same browser, and whoever has
signed in here before does not wait because of strangers who guess at their name.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Final
from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase

from household.devices.codes import keyed_hash

NAME: Final = "evenhouse_device"
SALT: Final = "household.devices.cookie"
AGE: Final = timedelta(days=400)  # the longest that browsers keep one


def name_hash(username: str) -> str:
    """Whom a cookie vouches for, not readable from it. Names differ in more than their case."""
    return keyed_hash("name", username.strip().casefold())


def give(response: HttpResponseBase, key: UUID, username: str) -> None:
    response.set_signed_cookie(
        NAME,
        f"{key.hex}.{name_hash(username)}",
        salt=SALT,
        max_age=AGE,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )


def key_of(request: HttpRequest) -> UUID | None:
    """The browser's key, if it was ever signed in here."""
    key, _ = _read(request)
    return UUID(hex=key) if key else None


def vouched_key(request: HttpRequest, username: str) -> str:
    """The browser's key if this very name signed in there last, else ""."""
    key, name = _read(request)
    return key if name == name_hash(username) else ""


def _read(request: HttpRequest) -> tuple[str, str]:
    value = request.get_signed_cookie(NAME, default="", salt=SALT, max_age=AGE) or ""
    key, _, name = value.partition(".")
    return key, name

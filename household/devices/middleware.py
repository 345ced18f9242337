"""Keeps sessions and their devices in step. A request usually costs no query here.

A device that was switched off needs no asking: its session's row is gone.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.core.cache import cache
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from household.devices import actions, queries
from household.devices.models import Device
from household.devices.sessions import KNOWN_AS, RENEWED, SCREEN, is_signed_in

SEEN_EVERY = 3600  # seconds


class DeviceMiddleware:
    """Sets `request.device` to the shared screen that asks, or to None; read when it is needed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        before = request.session.session_key or ""
        device: Any = SimpleLazyObject(lambda: _screen(request))
        request.device = device  # type: ignore[attr-defined]
        response = self.get_response(request)
        if request.session.accessed:
            _follow(request, before)
            if is_signed_in(request):
                _keep(request)
        return response


def _screen(request: HttpRequest) -> Device | None:
    device_id, key = request.session.get(SCREEN), request.session.session_key
    return queries.screen_of(device_id, key) if device_id and key else None


def _follow(request: HttpRequest, before: str) -> None:
    """A session goes on under another key after a change of password; other ones end then."""
    session = request.session
    if not before or session.session_key == before:
        return
    if session.get(KNOWN_AS) == before:
        actions.follow_session(old=before, new=session.session_key or "")
        session[KNOWN_AS] = session.session_key
    else:
        actions.signed_out(session_key=before)


def _keep(request: HttpRequest) -> None:
    session, now = request.session, timezone.now()
    if session.get(RENEWED) != now.date().isoformat():
        # Saving sends the cookie again, for another half year: once a day is enough.
        session[RENEWED] = now.date().isoformat()
    if cache.add(f"device-seen-{session.session_key}", True, SEEN_EVERY):
        actions.seen(session_key=session.session_key or "", now=now)

"""What is kept of Today between two looks at it, and how a page tells that it is still right.

Everything hangs on the household's change counter: a list made at one count is right until the
next. What a list was made from is read after the counter, so it can be newer, never older.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.cache import caches
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.utils import translation
from django.utils.cache import patch_vary_headers

from household.people.access import MemberRequest
from household.people.models import Household, Member
from household.requests.today import TodayLine

LISTS: Final = "lists"  # the cache of settings.CACHES
MESSAGES: Final = "_messages"  # where Django's session storage keeps what waits to be said
KEPT_FOR: Final = 24 * 3600  # seconds

Kept = dict[str, Any]
Asks = list[TodayLine]


def kept_day(
    household: Household, owner_id: int, own: bool, day: date, make: Callable[[], Kept]
) -> Kept:
    """The parts of somebody's Today as they were made at this count, or made now by `make`."""
    key = list_version(household, owner_id, own, day).strip('"')
    kept: Kept | None = caches[LISTS].get(key)
    if kept is None:
        kept = make()
        caches[LISTS].set(key, kept, KEPT_FOR)
    return kept


def kept_asks(member: Member, day: date, hour: str, make: Callable[[], Asks]) -> Asks:
    """What Today says of requests, kept in the same way."""
    household = member.household
    key = _digest("asks", household.pk, household.revision, member.pk, day, hour).strip('"')
    kept: Asks | None = caches[LISTS].get(key)
    if kept is None:
        kept = make()
        caches[LISTS].set(key, kept, KEPT_FOR)
    return kept


def forget_all() -> None:
    caches[LISTS].clear()


def list_version(household: Household, owner_id: int, own: bool, day: date) -> str:
    """An ETag of somebody's list, the same for all who look at it (`own`: the owner does)."""
    return _digest(household.pk, household.revision, owner_id, own, day)


def page_version(request: MemberRequest, owner_id: int, day: date, *, hour: str = "") -> str:
    """An ETag (RFC 9110, 8.8.3) of a whole Today; empty when the page must not be kept.

    `hour` names what stands there at some hours only.
    """
    secret = request.META.get("CSRF_COOKIE", "")
    if settings.DEBUG or not secret or something_waits(request):
        return ""
    household, member = request.household, request.member
    looks = (member.pk, member.role, member.theme, member.mirrored, household.name)
    return _digest(household.pk, household.revision, owner_id, day, hour, *looks, secret)


def _digest(*parts: object) -> str:
    """A tag without commas, on which Django parts a list of tags."""
    text = "\n".join(map(str, (edition(), translation.get_language(), *parts)))
    return f'"{hashlib.blake2b(text.encode(), digest_size=16).hexdigest()}"'


def something_waits(request: MemberRequest) -> bool:
    """Whether the page has something to say once: a message, or a notice."""
    return MESSAGES in request.session or request.member.unseen > 0


def is_known(request: HttpRequest, etag: str) -> bool:
    """Whether the browser has this very page. A proxy that packs may have made the tag weak."""
    known = request.headers.get("If-None-Match", "")
    return bool(etag) and etag in [each.strip().removeprefix("W/") for each in known.split(",")]


def kept_by_browser(response: HttpResponse, etag: str) -> HttpResponse:
    """Let the browser keep the page, but ask each time; never a proxy (RFC 9111, 5.2.2)."""
    if etag:
        response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response


def not_modified(etag: str) -> HttpResponse:
    response = kept_by_browser(HttpResponseNotModified(), etag)
    patch_vary_headers(response, ["HX-Request"])
    return response


@cache
def edition() -> str:
    """Another text for other templates, styles, scripts or code; read once, at the first use."""
    seen = hashlib.blake2b(digest_size=8)
    for folder in ("templates", "static", "household"):
        for path in sorted(Path(settings.BASE_DIR, folder).rglob("*.*")):
            if path.suffix in (".py", ".html", ".css", ".js", ".svg"):
                facts = path.stat()
                seen.update(f"{path}:{facts.st_mtime_ns}:{facts.st_size}\n".encode())
    return seen.hexdigest()

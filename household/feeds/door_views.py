"""The secret addresses: read-only, without a session, the same answer for all who know one.

Whether anything changed is known from one small query: the household's change counter and its
own day. No page or log of ours ever holds the address.
"""

from __future__ import annotations

import gzip
from datetime import date, datetime, timedelta
from typing import Final
from zlib import crc32
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseNotFound
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_safe

from household.feeds.actions import note_fetch
from household.feeds.queries import Knock, knock, whole
from household.feeds.serving import EVENTS, TODOS, calendar_file
from household.kit.secret_address import hash_of

# Grows when the file of an unchanged household comes out differently.
FORMAT: Final = 2
NOTED_EVERY: Final = timedelta(hours=1)
# Level 1 takes a third of the time of the usual 6 for a file a sixth larger.
GZIP_LEVEL: Final = 1

# When each feed's present state was first given out: (revision, day) and the moment. Lost with
# the process, which costs a client one more whole answer.
_since: dict[int, tuple[tuple[int, date], datetime]] = {}
_MOST_KNOWN: Final = 20_000


@require_safe
def events(request: HttpRequest, token: str) -> HttpResponseBase:
    return _answer(request, token, EVENTS)


@require_safe
def todos(request: HttpRequest, token: str) -> HttpResponseBase:
    return _answer(request, token, TODOS)


def _answer(request: HttpRequest, token: str, what: str) -> HttpResponseBase:
    now = timezone.now()
    known = knock(hash_of(token), now)
    if known is None:
        return _nothing()
    today = now.astimezone(ZoneInfo(known.time_zone)).date()
    zipped = "gzip" in request.headers.get("Accept-Encoding", "")
    base = _base(request)
    etag = _etag(known, what, today, base, zipped)
    modified = int(_first_given(known, today, now).timestamp())
    response: HttpResponseBase | None = get_conditional_response(
        request, etag=etag, last_modified=modified
    )
    if response is None:
        feed = whole(known.feed_id)
        body = calendar_file(feed, what, today, base)
        if body is None:
            return _nothing()
        response = _file(body, what, zipped)
    _note(request, known, now)
    response.headers["ETag"] = etag
    response.headers["Last-Modified"] = http_date(modified)
    response.headers["Cache-Control"] = "private, max-age=300"
    response.headers["Vary"] = "Accept-Encoding"
    response.headers["X-Robots-Tag"] = "noindex"
    return response


def _etag(known: Knock, what: str, today: date, base: str, zipped: bool) -> str:
    """Strong, and without the commas that some clients cut at. Links name the hub's address."""
    coding = "gz" if zipped else "as-is"
    place = f"{crc32(base.encode()):08x}"
    state = f"{known.feed_id}-{what}-{known.revision}-{today:%Y%m%d}"
    return f'"{FORMAT}-{state}-{place}-{coding}"'


def _first_given(known: Knock, today: date, now: datetime) -> datetime:
    """Since when the feed stands as it does, a second or more after what stood before."""
    state = (known.revision, today)
    before = _since.get(known.feed_id)
    if before is not None and before[0] == state:
        return before[1]
    if len(_since) > _MOST_KNOWN:
        _since.clear()
    given = now.replace(microsecond=0)
    if before is not None:
        given = max(given, before[1] + timedelta(seconds=1))
    _since[known.feed_id] = (state, given)
    return given


def _file(body: bytes, what: str, zipped: bool) -> HttpResponse:
    name = "evenhouse.ics" if what == EVENTS else "evenhouse-tasks.ics"
    response = HttpResponse(
        gzip.compress(body, GZIP_LEVEL, mtime=0) if zipped else body,
        content_type="text/calendar; charset=utf-8",
    )
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    if zipped:
        response.headers["Content-Encoding"] = "gzip"
    return response


def _note(request: HttpRequest, known: Knock, now: datetime) -> None:
    """Once an hour is enough to say whether a calendar is still asked for, by however many."""
    last = known.last_fetched_at
    if last is None or now - last >= NOTED_EVERY:
        agent = request.headers.get("User-Agent", "")[:120]
        note_fetch(feed_id=known.feed_id, agent=agent, now=now)


def _base(request: HttpRequest) -> str:
    """The hub's own address, as links in the events must name it."""
    base: str = settings.BASE_URL or f"{request.scheme}://{request.get_host()}"
    return base


def _nothing() -> HttpResponse:
    return HttpResponseNotFound(
        "There is no calendar at this address.\n", content_type="text/plain; charset=utf-8"
    )


def forget() -> None:
    """As after a start: for tests and measurements."""
    _since.clear()

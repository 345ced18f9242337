"""What a session holds beside who is signed in, and how one begins.

A session that a code began opens only the household whose organiser made the code: else an
organiser of one home could come into a member's other home. A password opens all of them.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final
from uuid import uuid4

from django.contrib.auth import SESSION_KEY, login, logout
from django.http import HttpRequest, HttpResponseBase

from household.devices import actions, cookie
from household.devices.labels import label_of
from household.devices.models import Code, Device
from household.kit.writing import writes
from household.people.access import HOMES, memberships
from household.people.models import Account, Member

SCREEN: Final = "screen"  # the id of the shared screen's Device
KNOWN_AS: Final = "known_as"  # the session's key as its devices have it
RENEWED: Final = "renewed"  # the day on which the cookie was last sent
BACKEND: Final = "django.contrib.auth.backends.ModelBackend"


@writes
def sign_in_by_password(
    request: HttpRequest, response: HttpResponseBase, account: Account, *, now: datetime
) -> None:
    """Begin a session that opens every household of the account, and note the device."""
    _begin(request, account)
    _note(request, response, account, list(memberships(account)), now, by=None)


@writes
def sign_in_by_code(
    request: HttpRequest, response: HttpResponseBase, code: Code, *, now: datetime
) -> None:
    """Use a member's code up: a session of its own key that opens the code's household."""
    assert code.member is not None
    actions.use_up(code=code, now=now)
    account = actions.account_for(member=code.member)
    homes = _homes_already(request, account)
    _begin(request, account)
    if homes is not None:
        request.session[HOMES] = sorted({*homes, code.household_id})
    opened = memberships(account, homes=request.session.get(HOMES))
    _note(request, response, account, list(opened), now, by=code.created_by)


@writes
def pair_screen(request: HttpRequest, code: Code, *, now: datetime) -> Device:
    """Use a shared screen's code up. Whoever was signed in there is signed out."""
    actions.use_up(code=code, now=now)
    end(request)
    device = actions.let_screen_in(
        household=code.household,
        label=code.label,
        session_key=_new_key(request),
        now=now,
        by=code.created_by,
    )
    request.session[SCREEN] = device.pk
    _mark(request, now)
    return device


@writes
def end(request: HttpRequest) -> None:
    """Sign out: the session is gone, and its devices are signed in nowhere."""
    actions.signed_out(session_key=request.session.session_key or "")
    logout(request)


def _homes_already(request: HttpRequest, account: Account) -> list[int] | None:
    """The households that this browser opens for the account; None means all of them."""
    if not request.user.is_authenticated or request.user.pk != account.pk:
        return []
    homes: list[int] | None = request.session.get(HOMES)
    return homes


def _begin(request: HttpRequest, account: Account) -> None:
    """A session with a key of its own; nothing of an earlier one goes on in it."""
    end(request)
    login(request, account, backend=BACKEND)
    _new_key(request)


def _new_key(request: HttpRequest) -> str:
    if not request.session.session_key:
        request.session.create()
    assert request.session.session_key is not None
    return request.session.session_key


def _note(
    request: HttpRequest,
    response: HttpResponseBase,
    account: Account,
    members: list[Member],
    now: datetime,
    *,
    by: Member | None,
) -> None:
    key = cookie.key_of(request) or uuid4()
    actions.let_in(
        members=members,
        session_key=_new_key(request),
        label=label_of(request.headers.get("User-Agent", "")),
        now=now,
        key=key,
        by=by,
    )
    cookie.give(response, key, account.username)
    _mark(request, now)


def _mark(request: HttpRequest, now: datetime) -> None:
    request.session[KNOWN_AS] = request.session.session_key
    request.session[RENEWED] = now.date().isoformat()


def is_signed_in(request: HttpRequest) -> bool:
    """Whether the session belongs to a person or a screen, asked of the session alone."""
    return SESSION_KEY in request.session or SCREEN in request.session

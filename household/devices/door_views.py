"""The way in: by name and password, by the link in a picture, by a typed code; and out."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from household.devices import queries, sessions, throttle
from household.devices.actions import USED_UP
from household.devices.forms import TypedCodeForm
from household.devices.labels import noun_of
from household.devices.models import Code, TryKind
from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.people.forms import SignInForm
from household.people.queries import is_set_up

DEMO_SIGN_INS = "demo_signins.json"
FORM = ["GET", "HEAD", "POST"]


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(FORM)
def sign_in(request: HttpRequest) -> HttpResponse:
    now, then = timezone.now(), _safe_next(request)
    if request.method != "POST" and request.user.is_authenticated:
        return redirect(then or "door:home")
    if request.method != "POST" and not is_set_up():
        return redirect("first:page")
    form = SignInForm(
        request,
        request.POST if request.method == "POST" else None,
        guard=lambda name: throttle.check(TryKind.PASSWORD, name, request, now=now),
    )
    if form.is_bound and form.is_valid() and form.account is not None:
        throttle.passed(TryKind.PASSWORD, form.cleaned_data["username"], request)
        response = redirect(then or "door:home")
        sessions.sign_in_by_password(request, response, form.account, now=now)
        return response
    context = {"form": form, "next": then, "demo": _demo_sign_ins()}
    return _perhaps_too_soon(render_page(request, "people/sign_in.html", context), form.refused)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    sessions.end(request)
    return redirect("door:sign_in")


@never_cache
@require_http_methods(FORM)
def by_link(request: HttpRequest, link: str) -> HttpResponse:
    """What the picture leads to. Looking at it changes nothing; only the answer uses it up."""
    now = timezone.now()
    code = queries.open_code(now, link=link)
    if code is None:
        return _used_up(request)
    if request.method == "POST":
        return _let_in(request, code, now)
    return _hello(request, code)


@sensitive_post_parameters("code")
@never_cache
@require_http_methods(FORM)
def by_typing(request: HttpRequest) -> HttpResponse:
    """A field for the code; once it is found, the same question as after the picture."""
    now = timezone.now()
    form = TypedCodeForm(request.POST if request.method == "POST" else None)
    error: HouseholdError | None = None
    if form.is_bound and form.is_valid():
        try:
            code = _typed(request, form.cleaned_data["code"], now)
        except HouseholdError as refused:
            form.refuse(error := refused)
        else:
            if "yes" in request.POST:
                return _let_in(request, code, now)
            return _hello(request, code, typed=form.cleaned_data["code"])
    response = render_page(request, "devices/type_code.html", {"form": form})
    return _perhaps_too_soon(response, error)


def _typed(request: HttpRequest, typed: str, now: datetime) -> Code:
    throttle.check(TryKind.CODE, "", request, now=now)
    code = queries.open_code(now, typed=typed)
    if code is None:
        raise HouseholdError(USED_UP)
    throttle.passed(TryKind.CODE, "", request)
    return code


def _hello(request: HttpRequest, code: Code, typed: str = "") -> HttpResponse:
    context = {
        "code": code,
        "typed": typed,
        "noun": noun_of(request.headers.get("User-Agent", "")),
        "signed_in": request.user.is_authenticated and request.user != _account(code),
    }
    template = "devices/hello.html" if code.member else "devices/hello_screen.html"
    return render_page(request, template, context)


def _account(code: Code) -> object:
    return code.member.account if code.member else None


def _let_in(request: HttpRequest, code: Code, now: datetime) -> HttpResponse:
    try:
        if code.member is None:
            sessions.pair_screen(request, code, now=now)
            return redirect("web:board", code.household_id)
        response = redirect("web:today", code.household_id)
        sessions.sign_in_by_code(request, response, code, now=now)
    except HouseholdError:
        # Another device was quicker by a moment.
        return _used_up(request)
    return response


def _used_up(request: HttpRequest) -> HttpResponse:
    return render_page(request, "devices/used_up.html", {"sentence": USED_UP}, status=404)


def _perhaps_too_soon(response: HttpResponse, error: HouseholdError | None) -> HttpResponse:
    if isinstance(error, throttle.TooSoon):
        response.status_code = error.status
        response["Retry-After"] = str(error.seconds)
    return response


def _safe_next(request: HttpRequest) -> str:
    """Where to go after signing in: an address of this hub, or nothing."""
    address = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        address, {request.get_host()}, require_https=request.is_secure()
    )
    return address if safe else ""


def _demo_sign_ins() -> list[dict[str, Any]]:
    """Who may be tried out while the demo household is loaded."""
    path = Path(settings.DATA_DIR) / DEMO_SIGN_INS
    try:
        listed: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return []
    return listed

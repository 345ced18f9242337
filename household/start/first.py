"""The very first page: a code from the server makes the household, or the demo instead.

Once there is a household, none of this is there any more.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.devices import throttle
from household.devices.models import TryKind
from household.devices.sessions import sign_in_by_password
from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.people.models import Member
from household.people.queries import is_set_up
from household.start import actions, code
from household.start.first_form import FirstForm
from household.start.queries import usual_here

View = Callable[[HttpRequest], HttpResponse]


def only_at_first(view: View) -> View:
    """404 as soon as there is a household."""

    @wraps(view)
    def guarded(request: HttpRequest) -> HttpResponse:
        if is_set_up():
            raise Http404
        return view(request)

    return guarded


@sensitive_post_parameters("password", "code")
@never_cache
@only_at_first
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    form = _form(request)
    if not form.is_bound:
        return _first_page(request, form)
    wait = _slow_down(request, form)
    if wait or not form.is_valid():
        return _first_page(request, form, status=wait)
    try:
        member = actions.make_household(
            habits=form.habits(), name=form.cleaned_data["person"], sign_in=form.sign_in()
        )
    except HouseholdError as error:
        form.refuse(error)
        return _first_page(request, form)
    return _begin(request, member, "start:members")


@sensitive_post_parameters("password", "code")
@never_cache
@only_at_first
@require_POST
def look(request: HttpRequest) -> HttpResponse:
    """Look around first: the demo household, for whoever knows the code."""
    form = _form(request)
    wait = _slow_down(request, form)
    if not wait:
        form.refuse_code_only()
    if wait or form.errors:
        return _first_page(request, form, status=wait)
    member = actions.make_demo(now=timezone.now())
    messages.success(
        request,
        f"You are signed in as {member.name}, who plans this made-up home. "
        "The sign-in page lists the others.",
    )
    return _begin(request, member, "web:today")


@never_cache
@only_at_first
@require_GET
def usual(request: HttpRequest) -> HttpResponse:
    """The country and its habits alone, for the script that asks with the browser's zone."""
    form = _form(request)
    return render_page(request, "start/_usual.html", {"form": form})


def _form(request: HttpRequest) -> FirstForm:
    sent = request.POST if request.method == "POST" else request.GET
    zone = sent.get("zone", "")[:64]
    habits = usual_here(
        country=sent.get("country", "").upper()[:2],
        zone=zone,
        languages=request.headers.get("Accept-Language", "")[:400],
    )
    data = request.POST if request.method == "POST" else None
    return FirstForm(data, habits=habits, zone=zone)


def _slow_down(request: HttpRequest, form: FirstForm) -> int | None:
    """Count a try of the code; the status of the answer when it came too soon."""
    try:
        throttle.check(TryKind.SET_UP, "", request, now=timezone.now())
    except throttle.TooSoon as soon:
        form.only_too_soon(soon.message)
        return soon.status
    if "code" not in form.errors:
        throttle.passed(TryKind.SET_UP, "", request)
    return None


def _first_page(request: HttpRequest, form: FirstForm, status: int | None = None) -> HttpResponse:
    context = {"form": form, "has_code": code.is_kept()}
    if status is None:
        status = 422 if form.is_bound and form.errors else 200
    return render_page(request, "start/first.html", context, status=status)


def _begin(request: HttpRequest, member: Member, then: str) -> HttpResponse:
    """Sign in whoever came first; the code has done its work."""
    code.use_up()
    assert member.account is not None
    response = redirect(then, member.household_id)
    sign_in_by_password(request, response, member.account, now=timezone.now())
    request.session["household"] = member.household_id
    return response

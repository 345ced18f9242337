"""Who asks for help, one request, and the answers to it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.areas.models import Area
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.paging import page_of
from household.people.access import MemberRequest, grown_only, members_only, own
from household.requests import actions, asking, keeping, listing, photos, queries
from household.requests.forms import AgainForm, DangersForm, DoneForm, RemindForm, TakeForm
from household.requests.models import Photo, Request
from household.requests.outside_forms import OutsideForm
from household.requests.page import request_page
from household.requests.today import warranties

Act = Callable[[MemberRequest, Request, datetime], object]


@members_only
@require_GET
def request_list(request: MemberRequest) -> HttpResponse:
    household, member = request.household, request.member
    today = household.today(timezone.now())
    seen = queries.visible(household, member)
    done = queries.with_people(queries.finished(seen)).order_by("-created_at", "-id")
    page = page_of(request, done, size=20)
    currency = queries.settings_of(household).currency
    at = [household.pk]
    context = {
        "sections": listing.lists_for(member, today),
        "page": page,
        "past": listing.rows(page.rows, household, today, viewer=None, currency=currency),
        "remind_form": RemindForm(initial={"when": queries.reminded(member)}),
        "remind_url": reverse("requests:remind", args=at),
        "ask_url": reverse("requests:ask", args=at),
        "ways": _ways(request),
        "warranties": warranties(household, today) if member.organises else [],
    }
    return render_page(request, "requests/list.html", context)


def _ways(request: MemberRequest) -> list[dict[str, str]]:
    """Where grown-ups go on from here."""
    ways = []
    if request.member.role in ("organiser", "member"):
        ways = [("People outside", "outsiders"), ("Appliances", "register")]
    if request.member.organises:
        ways.append(("Numbers and usual requests", "settings"))
    return [
        {"name": name, "url": reverse(f"requests:{to}", args=[request.household.pk])}
        for name, to in ways
    ]


@members_only
@require_GET
def one(request: MemberRequest, request_id: int) -> HttpResponse:
    return _page(request, _asked(request, request_id))


def _asked(request: MemberRequest, request_id: int) -> Request:
    seen = queries.for_page(queries.visible(request.household, request.member))
    return own(seen, request.household, pk=request_id)


def _page(
    request: MemberRequest, asked: Request, *, status: int = 200, **forms: Any
) -> HttpResponse:
    context = request_page(asked, request.member, timezone.now(), **forms)
    return render_page(request, "requests/request.html", context, status=status)


def _answering(act: Act) -> Callable[[MemberRequest, int], HttpResponse]:
    """A POST without a form: it changes the request and goes back to its page."""

    @wraps(act)
    def view(request: MemberRequest, request_id: int) -> HttpResponse:
        asked = _asked(request, request_id)
        try:
            act(request, asked, timezone.now())
        except HouseholdError as error:
            return render_error(request, error)
        return redirect("requests:request", request.household.pk, asked.pk)

    return require_POST(view)


@members_only
@require_POST
def take(request: MemberRequest, request_id: int) -> HttpResponse:
    """I'll do it; with `arrange`, I'll find somebody who may."""
    now = timezone.now()
    asked = _asked(request, request_id)
    form = TakeForm(request.POST, today=request.household.today(now))

    def act() -> None:
        values = form.cleaned_data
        actions.take(
            asked=asked,
            member=request.member,
            now=now,
            minutes=values["minutes"],
            by=values["by"],
            day=values["day"],
            arrange="arrange" in request.POST,
            key=values["key"],
        )

    return _by_form(request, asked, form, "take_form", act, "It is on your list.")


@members_only
@require_POST
def again(request: MemberRequest, request_id: int) -> HttpResponse:
    asked = _asked(request, request_id)
    form = AgainForm(request.POST, asked=asked)

    def act() -> None:
        to = form.cleaned_data["to"]
        asking.ask_again(asked=asked, actor=request.member, to=to, now=timezone.now())

    return _by_form(request, asked, form, "again_form", act, "It is asked.")


@grown_only
@require_POST
def outside(request: MemberRequest, request_id: int) -> HttpResponse:
    asked = _asked(request, request_id)
    form = OutsideForm(request.POST, household=request.household)

    def act() -> None:
        actions.go_outside(
            asked=asked,
            actor=request.member,
            outsider=form.cleaned_data["outsider"],
            now=timezone.now(),
        )

    return _by_form(request, asked, form, "outside_form", act, "")


@grown_only
@require_POST
def finish(request: MemberRequest, request_id: int) -> HttpResponse:
    asked = _asked(request, request_id)
    currency = queries.settings_of(request.household).currency
    form = DoneForm(request.POST, asked=asked, currency=currency)

    def act() -> None:
        actions.finish(
            asked=asked, actor=request.member, outcome=form.outcome(), now=timezone.now()
        )

    return _by_form(request, asked, form, "done_form", act, "It is noted.")


@grown_only
@require_POST
def dangers(request: MemberRequest, request_id: int) -> HttpResponse:
    asked = _asked(request, request_id)
    form = DangersForm(request.POST)

    def act() -> None:
        chosen = form.cleaned_data["dangers"]
        actions.set_dangers(asked=asked, actor=request.member, chosen=chosen, now=timezone.now())

    return _by_form(request, asked, form, "dangers_form", act, "It is noted.")


def _by_form(
    request: MemberRequest,
    asked: Request,
    form: Any,
    name: str,
    act: Callable[[], object],
    said: str,
) -> HttpResponse:
    """Act if the form is right; else show the request again with what was typed."""
    if form.is_valid():
        try:
            act()
        except HouseholdError as error:
            form.refuse(error)
        else:
            if said:
                messages.success(request, said)
            return redirect("requests:request", request.household.pk, asked.pk)
    return _page(request, asked, status=422, **{name: form, "refused": name})


@members_only
@_answering
def cannot(request: MemberRequest, asked: Request, now: datetime) -> None:
    actions.cannot(asked=asked, member=request.member, now=now)


@members_only
@_answering
def give_back(request: MemberRequest, asked: Request, now: datetime) -> None:
    actions.give_back(asked=asked, member=request.member, now=now)


@members_only
@_answering
def thank(request: MemberRequest, asked: Request, now: datetime) -> None:
    actions.thank(asked=asked, member=request.member, now=now)


@members_only
@_answering
def withdraw(request: MemberRequest, asked: Request, now: datetime) -> None:
    actions.withdraw(asked=asked, actor=request.member, now=now)


@members_only
@require_POST
def remind(request: MemberRequest) -> HttpResponse:
    form = RemindForm(request.POST)
    if form.is_valid():
        keeping.remind_at(member=request.member, when=form.cleaned_data["when"])
        messages.success(request, "Kept.")
    return redirect("requests:list", request.household.pk)


@members_only
@require_GET
def photo(request: MemberRequest, photo_id: int) -> HttpResponse:
    """A picture, to those who may see its request; never by the web server itself."""
    row = _photo(request, photo_id)
    try:
        content = photos.path_of(row.name).read_bytes()
    except FileNotFoundError:
        raise Http404 from None
    return HttpResponse(
        content,
        content_type="image/webp",
        headers={
            "X-Content-Type-Options": "nosniff",
            "Content-Security-Policy": "default-src 'none'; sandbox",
            "Content-Disposition": 'inline; filename="photo.webp"',
            "Cache-Control": "private, max-age=86400, immutable",
        },
    )


@members_only
@require_POST
def photo_away(request: MemberRequest, photo_id: int) -> HttpResponse:
    row = _photo(request, photo_id)
    try:
        name = actions.remove_photo(photo=row, actor=request.member, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    photos.forget([name])
    messages.success(request, "The photo is gone.")
    return redirect("requests:request", request.household.pk, row.request_id)


def _photo(request: MemberRequest, photo_id: int) -> Photo:
    seen = queries.visible(request.household, request.member)
    found = Photo.objects.filter(request__in=seen).select_related("request", "request__asker")
    return own(found, request.household, pk=photo_id)


@members_only
@require_http_methods(["GET", "HEAD"])
def area(request: MemberRequest, area_id: int) -> HttpResponse:
    """What was mended in an area: parts, cost, warranty."""
    household = request.household
    row = own(Area.objects.all(), household, pk=area_id)
    seen = queries.visible(household, request.member)
    page = page_of(request, queries.mended_in(row).filter(pk__in=seen.values("pk")), size=30)
    today = household.today(timezone.now())
    currency = queries.settings_of(household).currency
    context = {
        "area": row,
        "page": page,
        "past": listing.rows(page.rows, household, today, viewer=None, currency=currency),
        "ask_url": f"{reverse('requests:ask', args=[household.pk])}?area={row.pk}",
    }
    return render_page(request, "requests/area.html", context)

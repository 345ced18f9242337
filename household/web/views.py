"""Today and the pages around it."""

from __future__ import annotations

import json
import uuid
from datetime import datetime
from functools import cache
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_safe

from household import daily
from household.devices.listing import notice_lines
from household.devices.queries import notices_for
from household.kit.pages import render_page, wants_fragment
from household.people import queries as people
from household.people.access import MemberRequest, members_only, opened, own, screen_of
from household.people.models import Member, Role
from household.requests.today import reminding_hour
from household.web.asks import asks
from household.web.day import banner, day_page
from household.web.forms import QuickAddForm
from household.web.keeping import (
    is_known,
    kept_by_browser,
    list_version,
    not_modified,
    page_version,
)
from household.web.navigation import wide_pages


@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Whether the process answers; nothing about any household."""
    return JsonResponse({"ok": True})


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The way in: to the household used last, to signing in, or to the first run."""
    if not request.user.is_authenticated:
        screen = screen_of(request)
        if screen is not None:
            return redirect("web:board", screen.household.pk)
        return redirect("door:sign_in" if people.is_set_up() else "first:page")
    known = [member.household_id for member in opened(request)]
    if not known and not people.is_set_up():
        return redirect("first:page")
    if not known:
        return render_page(request, "errors/no_household.html", status=404)
    last = request.session.get("household")
    return redirect("web:today", last if last in known else known[0])


@members_only
@require_GET
def today(request: MemberRequest, member_id: int | None = None) -> HttpResponse:
    """One's own day or another's; 304 when nothing in the household has changed since."""
    now = timezone.now()
    household, member = request.household, request.member
    if request.session.get("household") != household.pk:
        request.session["household"] = household.pk
    was = household.daily_at
    daily.catch_up(household, now)
    if wants_fragment(request):
        return _news(request, member_id or member.pk, now)
    stale = banner(household, member, was, now)
    day, hour = household.today(now), reminding_hour(household, now)
    etag = "" if stale else page_version(request, member_id or member.pk, day, hour=hour)
    if is_known(request, etag):
        return not_modified(etag)
    owner = _owner(request, member_id)
    context = day_page(household, member, owner, now)
    context["banner"] = stale
    here = request.session.session_key or ""
    notices = notices_for(member, session_key=here)
    context["notices"] = notice_lines(notices, household, now)
    if owner is member:
        context["asks"] = asks(member, notices, now, hour)
        context |= {"add_fields": _add_fields(), "add_key": uuid.uuid4()}
    return kept_by_browser(render_page(request, "web/today.html", context), etag)


def _news(request: MemberRequest, owner_id: int, now: datetime) -> HttpResponse:
    """What an open page asks for every few seconds: its list, if anything has changed."""
    household, member = request.household, request.member
    etag = list_version(household, owner_id, owner_id == member.pk, household.today(now))
    if is_known(request, etag):
        return not_modified(etag)
    context = day_page(household, member, _owner(request, owner_id), now)
    response = HttpResponse(render_to_string("web/_news.html", context))
    patch_vary_headers(response, ["HX-Request"])
    return kept_by_browser(response, etag)


def _owner(request: MemberRequest, member_id: int | None) -> Member:
    if member_id in (None, request.member.pk):
        return request.member
    return own(people.members(request.household), request.household, pk=member_id)


@cache
def _add_fields() -> str:
    """The two fields of a one-off, which are the same for everybody."""
    form = QuickAddForm()
    fields = form.visible_fields()
    return mark_safe("".join(render_to_string("parts/_field.html", {"field": f}) for f in fields))


@members_only
@require_GET
def more(request: MemberRequest) -> HttpResponse:
    household = request.household
    links = [
        {"name": "Your settings", "url": reverse("people:profile", args=[household.pk])},
        {"name": "What does us good?", "url": reverse("breathers:list", args=[household.pk])},
        {"name": "Occasions", "url": reverse("occasions:list", args=[household.pk])},
        {"name": "Calendars", "url": reverse("feeds:calendars", args=[household.pk])},
        {"name": "Devices", "url": reverse("devices:list", args=[household.pk])},
        {"name": "House notes", "url": reverse("helpers:notes", args=[household.pk])},
        {"name": "What the words mean", "url": reverse("web:glossary", args=[household.pk])},
    ]
    if request.member.role != Role.CHILD:
        url = reverse("web:hand_work", args=[household.pk])
        links.insert(0, {"name": "Hand over work", "url": url})
    if request.member.role == Role.ORGANISER:
        url = reverse("people:settings", args=[household.pk])
        links.append({"name": "Household settings", "url": url})
        url = reverse("helpers:lists", args=[household.pk])
        links.insert(1, {"name": "Helpers from outside", "url": url})
        url = reverse("start:areas", args=[household.pk])
        links.append({"name": "Add from the common ones", "url": url})
    homes = [
        {
            "name": each.household.name,
            "url": reverse("people:switch", args=[each.household_id]),
            "current": each.household_id == household.pk,
        }
        for each in opened(request)
    ]
    context = {
        "pages": wide_pages(request.member),
        "links": links,
        "households": homes,
        "sign_out_url": reverse("door:sign_out"),
    }
    return render_page(request, "web/more.html", context)


@members_only
@require_GET
def glossary(request: MemberRequest) -> HttpResponse:
    return render_page(request, "web/glossary.html", {"terms": _terms()})


@cache
def _terms() -> Any:
    text = (settings.BASE_DIR / "fixtures" / "glossary.json").read_text(encoding="utf-8")
    return json.loads(text)

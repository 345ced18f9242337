"""A household's devices: who is signed in where, letting one in, switching one off."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import segno
from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.devices import actions, queries
from household.devices.codes import Secret
from household.devices.forms import LabelForm, ScreenForm
from household.devices.listing import groups
from household.devices.models import Code, Device, Notice
from household.kit.pages import render_page
from household.people.access import MemberRequest, members_only, organiser_only, own
from household.people.models import Member
from household.people.queries import members

FORM = ["GET", "HEAD", "POST"]


@members_only
@require_GET
def device_list(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    found = queries.devices(household, request.member, now)
    here = request.session.session_key or ""
    context = {
        "groups": groups(household, request.member, found, here, now),
        "screen_url": reverse("devices:screen", args=[household.pk])
        if request.member.organises
        else "",
    }
    return render_page(request, "devices/list.html", context)


@never_cache
@organiser_only
@require_http_methods(FORM)
def member_code(request: MemberRequest, member_id: int) -> HttpResponse:
    """Sign in a device for a member: what will happen, and, after a POST, the code."""
    household = request.household
    member: Member = own(members(household), household, pk=member_id)
    if request.method != "POST":
        return render_page(request, "devices/before_code.html", {"whose": member})
    now = timezone.now()
    code, secret = actions.make_code(household=household, member=member, by=request.member, now=now)
    return _code_page(request, code, secret, now)


@never_cache
@organiser_only
@require_http_methods(FORM)
def screen_code(request: MemberRequest) -> HttpResponse:
    """Make a tablet the household's shared screen."""
    form = ScreenForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        now = timezone.now()
        code, secret = actions.make_code(
            household=request.household,
            member=None,
            label=form.cleaned_data["label"],
            by=request.member,
            now=now,
        )
        return _code_page(request, code, secret, now)
    context = {
        "heading": "A screen for everybody",
        "form": form,
        "save": "Make a code for it",
        "cancel_url": reverse("devices:list", args=[request.household.pk]),
    }
    return render_page(request, "devices/before_screen.html", context)


def _code_page(request: MemberRequest, code: Code, secret: Secret, now: datetime) -> HttpResponse:
    household = request.household
    link = _absolute(request, reverse("door:by_link", args=[secret.link]))
    seconds = int((code.expires_at - now).total_seconds())
    context = {
        "code": code,
        "whose": code.member,
        "picture": picture(link),
        "type_at": _absolute(request, reverse("door:by_typing")).split("://")[-1].rstrip("/"),
        "typed": secret.typed,
        "seconds": seconds,
        "until": timezone.localtime(code.expires_at),
        "state_url": reverse("devices:code_state", args=[household.pk, code.pk]),
        "list_url": reverse("devices:list", args=[household.pk]),
    }
    return render_page(request, "devices/code.html", context)


def picture(link: str) -> SafeString:
    """The link as a QR code (ISO/IEC 18004), an SVG without any inline style."""
    code = segno.make(link, error="m", micro=False)
    return mark_safe(code.svg_inline(omitsize=True, dark="#000", border=4))


def _absolute(request: MemberRequest, path: str) -> str:
    """The whole address, as another device needs it."""
    if settings.BASE_URL:
        return f"{settings.BASE_URL}{path}"
    return request.build_absolute_uri(path)


@never_cache
@organiser_only
@require_GET
def code_state(request: MemberRequest, code_id: int) -> HttpResponse:
    """Whether a code has been used yet; the page that shows it asks every few seconds."""
    code: Code = own(Code.objects.select_related("member"), request.household, pk=code_id)
    if code.is_open(timezone.now()):
        return HttpResponse(status=204)
    return render_page(request, "devices/_code_over.html", {"code": code, "whose": code.member})


@members_only
@require_http_methods(FORM)
def rename(request: MemberRequest, device_id: int) -> HttpResponse:
    device = _device(request, device_id)
    form = LabelForm(
        request.POST if request.method == "POST" else None, initial={"label": device.label}
    )
    if form.is_bound and form.is_valid():
        actions.rename(device=device, label=form.cleaned_data["label"], by=request.member)
        messages.success(request, f"It is called “{device.label}” now.")
        return redirect("devices:list", request.household.pk)
    context = {
        "heading": device.label,
        "form": form,
        "save": "Keep this name",
        "cancel_url": reverse("devices:list", args=[request.household.pk]),
    }
    return render_page(request, "parts/form_page.html", context)


@members_only
@require_POST
def switch_off(request: MemberRequest, device_id: int) -> HttpResponse:
    device = _device(request, device_id)
    actions.switch_off(device=device, by=request.member, now=timezone.now())
    if device.session_key and device.session_key == request.session.session_key:
        return redirect("door:sign_in")
    messages.success(request, f"“{device.label}” is switched off. A new code lets it in again.")
    return redirect("devices:list", request.household.pk)


@members_only
@require_POST
def see_notice(request: MemberRequest, notice_id: int) -> HttpResponse:
    notice: Notice = own(Notice.objects.all(), request.household, pk=notice_id, to=request.member)
    actions.see_notice(notice=notice, now=timezone.now())
    return redirect("web:today", request.household.pk)


def _device(request: MemberRequest, device_id: int) -> Device:
    """A device of the household; to those who may not change it, it does not exist."""
    mine: dict[str, Any] = {} if request.member.organises else {"member": request.member}
    return own(Device.objects.select_related("member"), request.household, pk=device_id, **mine)

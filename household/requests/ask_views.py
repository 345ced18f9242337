"""Posting a call for help: on a phone in twenty seconds, on the shared screen by one's mark."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.calc import dangers
from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.people.access import MemberRequest, ScreenRequest, members_only, own, screen_only
from household.people.models import Household, Member
from household.requests import asking, photos, queries
from household.requests.forms import AskForm
from household.requests.listing import emergency_words
from household.requests.models import HelpKind, Request


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: MemberRequest) -> HttpResponse:
    form = _form(request, request.household, request.member)
    if form.is_bound and form.is_valid():
        asked = _asked(request, form, request.member)
        if asked is not None:
            messages.success(request, _said(asked))
            return redirect("requests:request", request.household.pk, asked.pk)
    household = request.household
    at = [household.pk]
    context = {
        "form": form,
        "look_url": reverse("requests:look", args=at),
        "emergency_url": reverse("requests:emergency", args=at),
        "list_url": reverse("requests:list", args=at),
        "open_count": queries.standing_open(queries.visible(household, request.member)).count(),
        "usual": _usual(household, reverse("requests:ask", args=at)),
        **_look(form, household),
    }
    return render_page(request, "requests/ask.html", context)


def _form(request: Any, household: Household, asker: Member | None) -> AskForm:
    if request.method == "POST":
        return AskForm(request.POST, request.FILES, household=household, asker=asker)
    return AskForm(household=household, asker=asker, initial=_chosen(request, household))


def _chosen(request: Any, household: Household) -> dict[str, Any]:
    """What a link to this page fills in: one of the usual ones, an area or an appliance."""
    number = request.GET.get("usual", "")
    usual = queries.settings_of(household).usual
    filled: dict[str, Any] = {
        name: request.GET[name]
        for name in ("area", "appliance")
        if request.GET.get(name, "").isdigit()
    }
    if number.isdigit() and int(number[:3]) < len(usual):
        filled |= {"kind": usual[int(number[:3])]["kind"], "what": usual[int(number[:3])]["what"]}
    return filled


def _usual(household: Household, ask_url: str) -> list[dict[str, str]]:
    usual = queries.settings_of(household).usual
    return [
        {"what": each["what"], "url": f"{ask_url}?usual={number}"}
        for number, each in enumerate(usual)
    ]


def _asked(request: Any, form: AskForm, asker: Member, **more: Any) -> Request | None:
    """The request as it is kept; nothing where a photo or the asking itself was refused."""
    kept: Sequence[photos.Kept] = ()
    try:
        kept = photos.keep(form.cleaned_data["photos"])
        asked = asking.ask(
            household=request.household,
            asker=asker,
            call=form.call(),
            now=timezone.now(),
            photos=kept,
            key=form.cleaned_data["key"],
            **more,
        )
    except HouseholdError as error:
        photos.forget(each.name for each in kept)
        form.refuse(error)
        return None
    if not asking.took(asked, kept):
        photos.forget(each.name for each in kept)
    return asked


def _said(asked: Request) -> str:
    if asked.to is not None:
        return f"{asked.to.name} is asked."
    return "The grown-ups are asked." if asked.for_adults else "It is asked."


@members_only
@require_POST
def look(request: MemberRequest) -> HttpResponse:
    """While somebody types: the caution, or how to get safe. Nothing is kept."""
    return _looked(request, request.household)


@screen_only
@require_POST
def screen_look(request: ScreenRequest) -> HttpResponse:
    return _looked(request, request.household)


def _looked(request: Any, household: Household) -> HttpResponse:
    sent = request.POST
    text = f"{sent.get('what', '')[:200]}\n{sent.get('details', '')[:2000]}"
    chosen = sent.getlist("dangers")
    context = _warnings(text, sent.get("kind", ""), chosen, household)
    return render_page(request, "requests/_look.html", context)


def _look(form: AskForm, household: Household) -> dict[str, Any]:
    """What stands above the form when it comes back."""
    if not form.is_bound:
        return {"emergencies": [], "cautions": []}
    text = f"{form.data.get('what', '')}\n{form.data.get('details', '')}"
    return _warnings(text, form.data.get("kind", ""), [], household)


def _warnings(text: str, kind: str, chosen: Sequence[str], household: Household) -> dict[str, Any]:
    signs = dangers.emergency_in(text)
    read = dangers.recognised(text, repair=kind == HelpKind.REPAIR)
    return {
        "emergencies": emergency_words(signs, queries.settings_of(household)) if signs else [],
        "cautions": dangers.cautions([*chosen, *read]),
    }


@members_only
@require_GET
def emergency(request: MemberRequest) -> HttpResponse:
    """Something dangerous right now: get safe first, then whom to call."""
    return render_page(request, "requests/emergency.html", _emergency(request.household))


@screen_only
@require_GET
def screen_emergency(request: ScreenRequest) -> HttpResponse:
    board = reverse("web:board", args=[request.household.pk])
    context = {"household": request.household, "board_url": board}
    context |= _emergency(request.household)
    return render_page(request, "requests/emergency.html", context)


def _emergency(household: Household) -> dict[str, Any]:
    help_by = queries.settings_of(household)
    return {
        "emergencies": emergency_words([each.value for each in dangers.Emergency], help_by),
        "ask_url": reverse("requests:ask", args=[household.pk]),
    }


@screen_only
@require_http_methods(["GET", "HEAD", "POST"])
def screen_ask(request: ScreenRequest) -> HttpResponse:
    """The same form on the shared screen, where the asker touches their own mark."""
    form = _form(request, request.household, None)
    if form.is_bound and form.is_valid():
        asker = form.cleaned_data["asker"]
        asked = _asked(request, form, asker, device=request.device)
        if asked is not None:
            return redirect("requests:screen_asked", request.household.pk, asked.pk)
    at = [request.household.pk]
    context = {
        "household": request.household,
        "form": form,
        "look_url": reverse("requests:screen_look", args=at),
        "emergency_url": reverse("requests:screen_emergency", args=at),
        "board_url": reverse("web:board", args=at),
        "usual": _usual(request.household, reverse("requests:screen_ask", args=at)),
        **_look(form, request.household),
    }
    return render_page(request, "requests/screen_ask.html", context)


@screen_only
@require_GET
def screen_asked(request: ScreenRequest, request_id: int) -> HttpResponse:
    """It is asked: what to beware of until somebody comes, and the way back."""
    asked = own(Request.objects.select_related("to", "asker"), request.household, pk=request_id)
    help_by = queries.settings_of(request.household)
    context = {
        "household": request.household,
        "asked": asked,
        "said": _said(asked),
        "emergencies": emergency_words(asked.emergencies, help_by),
        "cautions": dangers.cautions(asked.dangers),
        "board_url": reverse("web:board", args=[request.household.pk]),
    }
    return render_page(request, "requests/screen_asked.html", context)

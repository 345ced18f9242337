"""The register: appliances and installations by area, with what keeps them going."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.chores.horizon import horizon_of
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError, Refused
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, grown_only, organiser_only, own
from household.requests import keeping, listing, queries, servicing
from household.requests.outside_forms import ApplianceForm
from household.requests.outside_models import Appliance


@grown_only
@require_GET
def register(request: MemberRequest) -> HttpResponse:
    household = request.household
    today, words = household.today(timezone.now()), DateWords(household.date_order)
    found = list(queries.appliances(household))
    groups = [
        {
            "title": area.name if area else "Nowhere special",
            "rows": [
                {
                    "row": each,
                    "url": listing.url_of("appliance", each),
                    "warranty": _warranty(each, words, today),
                }
                for each in each_of
            ],
        }
        for area, each_of in groupby(found, key=lambda each: each.area)
    ]
    context = {
        "groups": groups,
        "archived": [
            {"name": each.name, "restore_url": listing.url_of("appliance_restore", each)}
            for each in queries.appliances(household, archived=True)
        ],
        "add_url": reverse("requests:appliance_add", args=[household.pk])
        if request.member.organises
        else "",
    }
    return render_page(request, "requests/register.html", context)


def _warranty(row: Appliance, words: DateWords, today: Any) -> str:
    if row.warranty_until is None:
        return ""
    said = words.full(row.warranty_until)
    return f"warranty until {said}" if row.is_under_warranty(today) else f"warranty ended {said}"


@grown_only
@require_GET
def appliance(request: MemberRequest, appliance_id: int) -> HttpResponse:
    row = _row(request, appliance_id)
    household = request.household
    today, words = household.today(timezone.now()), DateWords(household.date_order)
    currency = queries.settings_of(household).currency
    chores = list(row.chores.filter(archived_at=None).order_by("name"))
    have = {chore.name for chore in chores}
    seen = queries.visible(household, request.member).filter(appliance=row)
    about = queries.with_people(seen).order_by("-created_at", "-id")[:30]
    context = {
        "row": row,
        "facts": _facts(row, words, today, currency),
        "chores": chores,
        "services": [
            {"service": each, "url": listing.url_of("service", row)}
            for each in servicing.services().get(row.kind, ())
            if each.name not in have
        ]
        if request.member.organises
        else [],
        "past": listing.rows(about, household, today, viewer=None, currency=currency),
        "ask_url": f"{reverse('requests:ask', args=[household.pk])}?appliance={row.pk}"
        + (f"&area={row.area_id}" if row.area_id else ""),
        "change_url": listing.url_of("appliance_change", row) if request.member.organises else "",
        "register_url": reverse("requests:register", args=[household.pk]),
    }
    return render_page(request, "requests/appliance.html", context)


def _facts(row: Appliance, words: DateWords, today: Any, currency: str) -> list[tuple[str, str]]:
    bought = words.full(row.bought_on) if row.bought_on else ""
    known = [
        ("Make and model", row.model),
        ("Bought", ", ".join(filter(None, (bought, row.bought_from)))),
        ("Cost", listing.money(row.price, currency)),
        ("Warranty", _warranty(row, words, today).removeprefix("warranty ")),
        ("Notes", row.notes),
    ]
    return [(name, value) for name, value in known if value]


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def appliance_add(request: MemberRequest) -> HttpResponse:
    form = _form(request, None)
    if form.is_bound and form.is_valid():
        row = keeping.add_appliance(household=request.household, fields=form.cleaned_data)
        messages.success(request, f"“{row.name}” is in the register.")
        return redirect("requests:appliance", request.household.pk, row.pk)
    context = {
        "heading": "What does the home have?",
        "form": form,
        "save": "Add to the register",
        "cancel_url": reverse("requests:register", args=[request.household.pk]),
    }
    return render_page(request, "parts/form_page.html", context)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def appliance_change(request: MemberRequest, appliance_id: int) -> HttpResponse:
    row = _row(request, appliance_id)
    form = _form(request, row)
    if form.is_bound and form.is_valid():
        keeping.change_appliance(appliance=row, fields=form.cleaned_data)
        messages.success(request, f"“{row.name}” is changed.")
        return redirect("requests:appliance", request.household.pk, row.pk)
    context = {
        "heading": row.name,
        "form": form,
        "save": "Keep the changes",
        "cancel_url": listing.url_of("appliance", row),
        "archive_url": listing.url_of("appliance_archive", row),
    }
    return render_page(request, "parts/form_page.html", context)


def _form(request: MemberRequest, row: Appliance | None) -> ApplianceForm:
    return ApplianceForm(
        request.POST if request.method == "POST" else None,
        household=request.household,
        currency=queries.settings_of(request.household).currency,
        appliance=row,
    )


@organiser_only
@require_POST
def appliance_archive(request: MemberRequest, appliance_id: int) -> HttpResponse:
    row = own(Appliance.objects.all(), request.household, pk=appliance_id)
    keeping.archive_appliance(appliance=row, now=timezone.now())
    restore_url = listing.url_of("appliance_restore", row)
    say_with_way_back(
        request, f"“{row.name}” is put away.", url=restore_url, button="Bring it back"
    )
    return redirect("requests:register", request.household.pk)


@organiser_only
@require_POST
def appliance_restore(request: MemberRequest, appliance_id: int) -> HttpResponse:
    row = own(Appliance.objects.all(), request.household, pk=appliance_id)
    keeping.restore_appliance(appliance=row)
    messages.success(request, f"“{row.name}” is back.")
    return redirect("requests:register", request.household.pk)


@organiser_only
@require_POST
def service(request: MemberRequest, appliance_id: int) -> HttpResponse:
    """Make one of the suggested upkeep chores for this appliance."""
    row, now = _row(request, appliance_id), timezone.now()
    wanted = request.POST.get("key", "")
    found = [each for each in servicing.services().get(row.kind, ()) if each.key == wanted]
    try:
        if not found:
            raise Refused("That suggestion is no longer here. Open the page anew.")
        chore = keeping.add_service(
            appliance=row,
            service=found[0],
            actor=request.member,
            now=now,
            horizon=horizon_of(request.household.today(now)),
        )
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"“{chore.name}” is on the plan.")
    return redirect("requests:appliance", request.household.pk, row.pk)


def _row(request: MemberRequest, appliance_id: int) -> Appliance:
    living = Appliance.objects.select_related("area", "household").filter(archived_at=None)
    return own(living, request.household, pk=appliance_id)

"""People outside, estimates, the text for a message, and the household's numbers."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, grown_only, organiser_only, own
from household.people.models import Member
from household.requests import keeping, listing, queries
from household.requests.models import Estimate, Request
from household.requests.outside_forms import EstimateForm, HelpForm, OutsiderForm
from household.requests.outside_models import Outsider
from household.requests.page import request_page
from household.requests.shared_text import children_of, text_of


@grown_only
@require_GET
def outsiders(request: MemberRequest) -> HttpResponse:
    household = request.household
    words, today = DateWords(household.date_order), household.today(timezone.now())
    currency = queries.settings_of(household).currency
    people = [
        {
            "row": each.row,
            "jobs": each.jobs,
            "url": listing.url_of("outsider", each.row),
            "call": listing.CallNumber(each.row.name, each.row.phone) if each.row.phone else None,
            "paid": listing.money(each.paid, currency),
            "last": words.near(each.last_on, today) if each.last_on else "",
        }
        for each in queries.outsiders(household)
    ]
    context = {
        "people": people,
        "archived": [
            {"name": each.row.name, "restore_url": listing.url_of("outsider_restore", each.row)}
            for each in queries.outsiders(household, archived=True)
        ],
        "add_url": reverse("requests:outsider_add", args=[household.pk]),
    }
    return render_page(request, "requests/outsiders.html", context)


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def outsider_add(request: MemberRequest) -> HttpResponse:
    form = OutsiderForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            row = keeping.add_outsider(household=request.household, fields=form.cleaned_data)
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row.name} is on the list.")
            return redirect("requests:outsiders", request.household.pk)
    context = {"heading": "Who outside can help?", "form": form, "save": "Add to the list"}
    return _form_page(request, "requests/outsider_form.html", context)


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def outsider(request: MemberRequest, outsider_id: int) -> HttpResponse:
    row = own(Outsider.objects.all(), request.household, pk=outsider_id, archived_at=None)
    name = row.name
    initial = {field: getattr(row, field) for field in OutsiderForm.base_fields}
    data = request.POST if request.method == "POST" else None
    form = OutsiderForm(data, initial=initial)
    if form.is_bound and form.is_valid():
        try:
            keeping.change_outsider(outsider=row, fields=form.cleaned_data)
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row.name} is changed.")
            return redirect("requests:outsiders", request.household.pk)
    household = request.household
    currency = queries.settings_of(household).currency
    today = household.today(timezone.now())
    seen = queries.visible(household, request.member)
    jobs = queries.jobs_of(row).filter(pk__in=seen.values("pk"))[:20]
    context = {
        "heading": name,
        "form": form,
        "save": "Keep the changes",
        "call": listing.CallNumber(name, row.phone) if row.phone else None,
        "past": listing.rows(jobs, household, today, viewer=None, currency=currency),
        "archive_url": listing.url_of("outsider_archive", row),
    }
    return _form_page(request, "requests/outsider_form.html", context)


def _form_page(request: MemberRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    context["cancel_url"] = reverse("requests:outsiders", args=[request.household.pk])
    return render_page(request, template, context)


@grown_only
@require_POST
def outsider_archive(request: MemberRequest, outsider_id: int) -> HttpResponse:
    row = own(Outsider.objects.all(), request.household, pk=outsider_id)
    keeping.archive_outsider(outsider=row, now=timezone.now())
    restore_url = listing.url_of("outsider_restore", row)
    say_with_way_back(
        request, f"{row.name} is put away.", url=restore_url, button="Bring them back"
    )
    return redirect("requests:outsiders", request.household.pk)


@grown_only
@require_POST
def outsider_restore(request: MemberRequest, outsider_id: int) -> HttpResponse:
    row = own(Outsider.objects.all(), request.household, pk=outsider_id)
    try:
        keeping.restore_outsider(outsider=row)
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"{row.name} is back.")
    return redirect("requests:outsiders", request.household.pk)


@grown_only
@require_POST
def estimate(request: MemberRequest, request_id: int) -> HttpResponse:
    asked = _asked(request, request_id)
    currency = queries.settings_of(request.household).currency
    form = EstimateForm(request.POST, asked=asked, currency=currency)
    if form.is_valid():
        values = form.cleaned_data
        try:
            keeping.add_estimate(
                asked=asked,
                actor=request.member,
                now=timezone.now(),
                amount=values["amount"],
                outsider=values["outsider"],
                who=values["who"],
                valid_until=values["valid_until"],
                note_words=values["note"],
            )
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, "The estimate is noted.")
            return redirect("requests:request", request.household.pk, asked.pk)
    refused = {"estimate_form": form, "refused": "estimate_form"}
    context = request_page(asked, request.member, timezone.now(), **refused)
    return render_page(request, "requests/request.html", context, status=422)


@grown_only
@require_POST
def choose(request: MemberRequest, estimate_id: int) -> HttpResponse:
    seen = queries.visible(request.household, request.member)
    found = Estimate.objects.filter(request__in=seen).select_related(
        "request", "request__task", "outsider"
    )
    row = own(found, request.household, pk=estimate_id)
    try:
        keeping.choose_estimate(estimate=row, actor=request.member, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"{row.who} it is.")
    return redirect("requests:request", request.household.pk, row.request_id)


@grown_only
@require_GET
def text(request: MemberRequest, request_id: int) -> HttpResponse:
    """The request as a message: no child is named, and the address only if chosen."""
    asked, household = _asked(request, request_id), request.household
    address = queries.settings_of(household).address
    chosen = bool(address) and "address" in request.GET
    everybody = Member.objects.filter(household=household)
    context = {
        "asked": asked,
        "text": text_of(
            asked,
            words=DateWords(household.date_order),
            children=children_of(everybody),
            address=address if chosen else "",
        ),
        "has_address": bool(address),
        "address_chosen": chosen,
        "back_url": listing.url_of("request", asked),
        "photos": asked.photos.exists(),
    }
    return render_page(request, "requests/text.html", context)


def _asked(request: MemberRequest, request_id: int) -> Request:
    seen = queries.for_page(queries.visible(request.household, request.member))
    return own(seen, request.household, pk=request_id)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: MemberRequest) -> HttpResponse:
    help_by = queries.settings_of(request.household)
    form = HelpForm(request.POST if request.method == "POST" else None, help=help_by)
    if form.is_bound and form.is_valid():
        keeping.set_help(household=request.household, fields=form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("requests:list", request.household.pk)
    context = {
        "heading": "Who helps, and how?",
        "form": form,
        "save": "Keep these",
        "cancel_url": reverse("requests:list", args=[request.household.pk]),
        "unchecked": help_by.pk is None,
    }
    return render_page(request, "requests/settings.html", context)

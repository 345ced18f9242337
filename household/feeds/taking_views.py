"""Taking other people's calendars in: by address, from a file, and what came of it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.feeds import queries, receiving
from household.feeds.forms import ImportForm, SubscribeForm
from household.feeds.listing import event_line, subscription_line
from household.feeds.models import Subscription
from household.kit.errors import Conflict, HouseholdError
from household.kit.pages import render_page
from household.kit.paging import page_of
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, grown_only, own


@sensitive_post_parameters("url")
@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def subscribe(request: MemberRequest) -> HttpResponse:
    data = request.POST if request.method == "POST" else None
    form = SubscribeForm(data, owner=request.member)
    if form.is_bound and form.is_valid():
        values = form.cleaned_data
        try:
            receiving.subscribe(
                household=request.household,
                wish=form.wish(),
                url=values["url"],
                now=timezone.now(),
                key=values["key"],
            )
        except Conflict as conflict:
            messages.info(request, conflict.message)
            return redirect("feeds:calendars", request.household.pk)
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"“{values['label']}” is looked at within five minutes.")
            return redirect("feeds:calendars", request.household.pk)
    return _form_page(request, "Follow a calendar", form, "Follow it")


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def import_file(request: MemberRequest) -> HttpResponse:
    form = ImportForm(request.POST or None, request.FILES or None, owner=request.member)
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        try:
            made = receiving.import_file(
                household=request.household,
                wish=form.wish(),
                content=values["file"],
                now=timezone.now(),
                key=values["key"],
            )
        except Conflict as conflict:
            messages.info(request, conflict.message)
            return redirect("feeds:calendars", request.household.pk)
        except HouseholdError as error:
            form.add_error(error.field or "file", error.message)
        else:
            messages.success(request, f"“{made.label}” is taken in.")
            return redirect("feeds:subscription", request.household.pk, made.pk)
    return _form_page(request, "Take in a calendar file", form, "Take it in")


def _form_page(request: MemberRequest, heading: str, form: Any, save: str) -> HttpResponse:
    context = {
        "heading": heading,
        "form": form,
        "save": save,
        "cancel_url": reverse("feeds:calendars", args=[request.household.pk]),
    }
    return render_page(request, "feeds/take_in.html", context)


@grown_only
@require_GET
def subscription(request: MemberRequest, subscription_id: int) -> HttpResponse:
    """One calendar taken in, with its events from today on."""
    household, now = request.household, timezone.now()
    row = _row(request, subscription_id)
    today = household.today(now)
    page = page_of(request, row.events.filter(last__gte=today), size=60)
    add_chore = reverse("chores:add", args=[household.pk]) if request.member.organises else ""
    context = {
        "line": subscription_line(row, household, now),
        "events": [event_line(event, household, today, add_chore) for event in page.rows],
        "page": page,
        "look_url": "" if row.is_file else _url("look", row),
        "out_url": _url("take_out", row),
        "list_url": reverse("feeds:calendars", args=[household.pk]),
    }
    return render_page(request, "feeds/subscription.html", context)


@grown_only
@require_POST
def look(request: MemberRequest, subscription_id: int) -> HttpResponse:
    row = _row(request, subscription_id)
    receiving.look_again(subscription=row, now=timezone.now())
    messages.success(request, f"“{row.label}” is looked at within five minutes.")
    return redirect("feeds:subscription", request.household.pk, row.pk)


@grown_only
@require_POST
def take_out(request: MemberRequest, subscription_id: int) -> HttpResponse:
    row = _row(request, subscription_id)
    receiving.take_out(subscription=row, now=timezone.now())
    say_with_way_back(
        request,
        f"“{row.label}” is not shown any more.",
        url=_url("take_back", row),
        button="Take it in again",
    )
    return redirect("feeds:calendars", request.household.pk)


@grown_only
@require_POST
def take_back(request: MemberRequest, subscription_id: int) -> HttpResponse:
    gone = Subscription.objects.defer("content").filter(archived_at__isnull=False)
    row = own(gone, request.household, pk=subscription_id)
    receiving.take_back(subscription=row, now=timezone.now())
    messages.success(request, f"“{row.label}” is back.")
    return redirect("feeds:calendars", request.household.pk)


def _row(request: MemberRequest, subscription_id: int) -> Subscription:
    every = queries.subscriptions(request.household)
    return own(every, request.household, pk=subscription_id)


def _url(name: str, row: Subscription) -> str:
    return reverse(f"feeds:{name}", args=[row.household_id, row.pk])

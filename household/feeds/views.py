"""The calendars page, and making, renewing and stopping calendars given out."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.feeds import actions, queries
from household.feeds.address import addresses
from household.feeds.forms import FeedForm
from household.feeds.kinds import KINDS
from household.feeds.listing import feed_lines, subscription_lines
from household.feeds.models import Feed
from household.kit.errors import Conflict, HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, members_only, own
from household.people.models import Role


@members_only
@require_GET
def calendars(request: MemberRequest) -> HttpResponse:
    household, member, now = request.household, request.member, timezone.now()
    grown = member.role != Role.CHILD
    taken_in = queries.subscriptions(household) if grown else ()
    context = {
        "feeds": feed_lines(queries.feeds_for(member), member, now),
        "make_url": reverse("feeds:make", args=[household.pk]),
        "how_url": reverse("feeds:how", args=[household.pk]),
        "subscriptions": subscription_lines(taken_in, household, now),
        "subscribe_url": reverse("feeds:subscribe", args=[household.pk]) if grown else "",
        "import_url": reverse("feeds:import", args=[household.pk]) if grown else "",
    }
    return render_page(request, "feeds/calendars.html", context)


@members_only
@require_GET
def how_to(request: MemberRequest) -> HttpResponse:
    back = reverse("feeds:calendars", args=[request.household.pk])
    return render_page(request, "feeds/how_to.html", {"back_url": back})


@members_only
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def make(request: MemberRequest) -> HttpResponse:
    """Make a calendar. Its address is in this one answer and nowhere else."""
    form = FeedForm(request.POST if request.method == "POST" else None, owner=request.member)
    if form.is_bound and form.is_valid():
        try:
            feed, token = actions.make_feed(
                owner=request.member,
                wanted=form.wanted(),
                now=timezone.now(),
                key=form.cleaned_data["key"],
            )
        except Conflict as conflict:
            messages.info(request, conflict.message)
            return redirect("feeds:calendars", request.household.pk)
        except HouseholdError as error:
            form.refuse(error)
        else:
            return _address_page(request, feed, token)
    context = {
        "heading": "Tasks in your own calendar",
        "form": form,
        "save": "Make the address",
        "cancel_url": reverse("feeds:calendars", args=[request.household.pk]),
    }
    return render_page(request, "feeds/make.html", context)


@members_only
@never_cache
@require_POST
def renew(request: MemberRequest, feed_id: int) -> HttpResponse:
    every = queries.feeds_for(request.member).filter(owner=request.member)
    feed = own(every, request.household, pk=feed_id)
    try:
        token = actions.renew_feed(
            feed=feed, standing=request.POST.get("standing", ""), now=timezone.now()
        )
    except HouseholdError as error:
        return render_error(request, error)
    return _address_page(request, feed, token, renewed=True)


def _address_page(
    request: MemberRequest, feed: Feed, token: str, *, renewed: bool = False
) -> HttpResponse:
    base = settings.BASE_URL or f"{request.scheme}://{request.get_host()}"
    context: dict[str, Any] = {
        "feed": feed,
        "addresses": addresses(token, base, todos=KINDS[feed.kind].todos is not None),
        "renewed": renewed,
        "how_url": reverse("feeds:how", args=[request.household.pk]),
        "list_url": reverse("feeds:calendars", args=[request.household.pk]),
    }
    return render_page(request, "feeds/address.html", context)


@members_only
@require_POST
def stop(request: MemberRequest, feed_id: int) -> HttpResponse:
    feed = own(queries.feeds_for(request.member), request.household, pk=feed_id)
    actions.stop_feed(feed=feed, now=timezone.now())
    say_with_way_back(
        request,
        f"The address for “{feed.label}” answers no more.",
        url=reverse("feeds:start", args=[request.household.pk, feed.pk]),
        button="Let it answer again",
    )
    return redirect("feeds:calendars", request.household.pk)


@members_only
@require_POST
def start(request: MemberRequest, feed_id: int) -> HttpResponse:
    feed = own(queries.feeds_for(request.member), request.household, pk=feed_id)
    actions.start_feed(feed=feed)
    messages.success(request, f"The address for “{feed.label}” answers again.")
    return redirect("feeds:calendars", request.household.pk)

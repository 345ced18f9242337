"""One week's offer of a breather or together time, with a hand on it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from household.breathers import actions, queries
from household.breathers.models import Offer
from household.breathers.saying import may_change, minutes_words, url_of, who_words
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError, NotAllowed, Refused
from household.kit.pages import render_error, render_page
from household.people.access import MemberRequest, members_only, own
from household.week.offering import another as offer_another
from household.week.queries import read_week
from household.week.together import day_choices


@members_only
@require_GET
def offer(request: MemberRequest, offer_id: int) -> HttpResponse:
    household, offered = request.household, _offer(request, offer_id)
    words, today = DateWords(household.date_order), household.today(timezone.now())
    may = may_change(offered, request.member) and not _is_over(offered, today)
    week = read_week(household, offered.starts, today) if may and not offered.left_out else None
    context: dict[str, Any] = {
        "offered": offered,
        "who": who_words(offered, request.member),
        "minutes": minutes_words(offered.breather),
        "when": words.day(offered.day) if offered.day else "",
        "week_words": words.span(offered.starts, offered.starts + timedelta(days=6)),
        "may_change": may,
        "choices": day_choices(offered, week) if week else [],
        "list_url": reverse("breathers:list", args=[household.pk]),
        "week_url": reverse("week:week", args=[household.pk, offered.starts]),
        "urls": {
            name: reverse(f"breathers:{name}", args=[household.pk, offered.pk])
            for name in ("another", "day", "leave", "back")
        },
    }
    return render_page(request, "breathers/offer.html", context)


@members_only
@require_POST
def another(request: MemberRequest, offer_id: int) -> HttpResponse:
    """The next idea of the same list in its place."""
    return _change(request, offer_id, _another)


def _another(request: MemberRequest, offered: Offer, now: datetime) -> str:
    return f"This week it is “{offer_another(offered, now).name}”."


@members_only
@require_POST
def day(request: MemberRequest, offer_id: int) -> HttpResponse:
    """Another day of its week, or whichever day suits."""
    return _change(request, offer_id, _choose_day)


def _choose_day(request: MemberRequest, offered: Offer, now: datetime) -> str:
    text = request.POST.get("day", "")
    try:
        chosen = date.fromisoformat(text) if text else None
    except ValueError:
        raise Refused("Choose a day of that week.") from None
    if chosen is not None and chosen < request.household.today(now):
        raise Refused("That day is over. Choose another one.")
    actions.choose_day(offered=offered, day=chosen, now=now)
    if chosen is None:
        return "On whichever day suits."
    return f"It is on {DateWords(request.household.date_order).day(chosen)}."


@members_only
@require_POST
def leave(request: MemberRequest, offer_id: int) -> HttpResponse:
    """Not this week. Nobody is asked why."""
    return _change(request, offer_id, _leave)


def _leave(request: MemberRequest, offered: Offer, now: datetime) -> str:
    actions.leave_out(offered=offered, now=now)
    return f"“{offered.breather.name}” is not for this week. It comes round again."


@members_only
@require_POST
def back(request: MemberRequest, offer_id: int) -> HttpResponse:
    return _change(request, offer_id, _back)


def _back(request: MemberRequest, offered: Offer, now: datetime) -> str:
    actions.have_back(offered=offered, now=now)
    return f"“{offered.breather.name}” is back."


def _change(request: MemberRequest, offer_id: int, act: Any) -> HttpResponse:
    now, offered = timezone.now(), _offer(request, offer_id)
    try:
        if not may_change(offered, request.member):
            raise NotAllowed("Those who are in it decide about it.")
        if _is_over(offered, request.household.today(now)):
            raise Refused("That week is over.")
        said = act(request, offered, now)
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, said)
    return redirect(url_of(offered))


def _is_over(offered: Offer, today: date) -> bool:
    return offered.starts + timedelta(days=7) <= today


def _offer(request: MemberRequest, offer_id: int) -> Offer:
    """One that this member may know of, or 404: another's private one tells nothing."""
    found = queries.offers(request.household, request.member).select_related("household")
    return own(found, request.household, pk=offer_id)

"""Gift ideas and past gifts. Nobody is shown, or told of, a gift that is for them."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.kit.paging import page_of
from household.kit.undo import say_with_way_back
from household.occasions import giving, listing, queries
from household.occasions.gift_forms import GiftForm
from household.occasions.listing import url_of
from household.occasions.models import Gift, Occasion
from household.people.access import MemberRequest, members_only, own


@members_only
@require_GET
def gifts(request: MemberRequest) -> HttpResponse:
    seen = queries.gifts_seen_by(request.member)
    page = page_of(request, seen.filter(given__isnull=False).order_by("-given", "-pk"), size=30)
    at = [request.household.pk]
    context = {
        "ideas": listing.gift_rows(seen.filter(given=None).order_by("-created_at", "-pk")[:200]),
        "past": listing.gift_rows(page.rows),
        "page": page,
        "add_url": reverse("occasions:gift_add", args=at),
        "list_url": reverse("occasions:list", args=at),
    }
    return render_page(request, "occasions/gifts.html", context)


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def gift_add(request: MemberRequest) -> HttpResponse:
    occasion = _occasion(request)
    sent = request.POST if request.method == "POST" else None
    form = GiftForm(
        sent,
        household=request.household,
        writer=request.member,
        initial=_chosen(request, occasion),
    )
    back = url_of("occasion", occasion) if occasion else _list(request)
    if form.is_bound and form.is_valid():
        try:
            giving.add_gift(
                household=request.household,
                actor=request.member,
                present=form.present(),
                now=timezone.now(),
                occasion=occasion,
                key=form.cleaned_data["key"],
            )
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, "It is written down. Who it is for does not see it.")
            return redirect(back)
    return _page(request, form, "Which gift?", "Write it down", back)


def _occasion(request: MemberRequest) -> Occasion | None:
    number = request.GET.get("occasion", "")
    if not number.isdigit():
        return None
    return queries.occasions(request.household).filter(pk=int(number[:12])).first()


def _chosen(request: MemberRequest, occasion: Occasion | None) -> dict[str, Any]:
    filled: dict[str, Any] = {"key": uuid.uuid4()}
    if occasion is not None:
        about = queries.concerned(occasion) - {request.member.pk}
        filled |= {"members": sorted(about), "who": occasion.who}
    return filled


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def gift(request: MemberRequest, gift_id: int) -> HttpResponse:
    row = _gift(request, gift_id)
    sent = request.POST if request.method == "POST" else None
    form = GiftForm(sent, household=request.household, writer=request.member, gift=row)
    if form.is_bound and form.is_valid():
        try:
            giving.change_gift(gift=row, actor=request.member, present=form.present())
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, "Kept.")
            return redirect(_list(request))
    more = {"archive_url": url_of("gift_archive", row)}
    return _page(request, form, row.idea, "Keep it", _list(request), **more)


def _page(
    request: MemberRequest, form: GiftForm, heading: str, save: str, back: str, **more: str
) -> HttpResponse:
    context = {"heading": heading, "form": form, "save": save, "cancel_url": back, **more}
    return render_page(request, "occasions/gift_form.html", context)


@members_only
@require_POST
def give(request: MemberRequest, gift_id: int) -> HttpResponse:
    row = _gift(request, gift_id)
    giving.give(gift=row, year=request.household.today(timezone.now()).year)
    messages.success(request, f"“{row.idea}” is given.")
    return redirect(_list(request))


@members_only
@require_POST
def gift_archive(request: MemberRequest, gift_id: int) -> HttpResponse:
    row = _gift(request, gift_id)
    giving.archive_gift(gift=row, now=timezone.now())
    say_with_way_back(
        request,
        f"“{row.idea}” is put away.",
        url=url_of("gift_restore", row),
        button="Bring it back",
    )
    return redirect(_list(request))


@members_only
@require_POST
def gift_restore(request: MemberRequest, gift_id: int) -> HttpResponse:
    row = _gift(request, gift_id, archived=True)
    giving.restore_gift(gift=row)
    messages.success(request, f"“{row.idea}” is back.")
    return redirect(_list(request))


def _gift(request: MemberRequest, gift_id: int, *, archived: bool = False) -> Gift:
    seen = queries.gifts_seen_by(request.member, archived=archived)
    found: Gift = own(seen, request.household, pk=gift_id)
    return found


def _list(request: MemberRequest) -> str:
    return reverse("occasions:gifts", args=[request.household.pk])

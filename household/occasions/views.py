"""What is coming up, one occasion, and adding, changing and putting away."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, datetime
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.occasions import actions, listing, queries
from household.occasions.forms import OccasionForm
from household.occasions.listing import url_of
from household.occasions.models import Occasion, OccasionKind
from household.occasions.page import occasion_page
from household.people.access import MemberRequest, grown_only, members_only, own
from household.people.models import Role

Act = Callable[[MemberRequest, Occasion, datetime], object]


@members_only
@require_GET
def occasion_list(request: MemberRequest) -> HttpResponse:
    household, member = request.household, request.member
    at = [household.pk]
    add_url = reverse("occasions:add", args=at)
    context = {
        **listing.list_page(household, member, household.today(timezone.now())),
        "add_url": add_url,
        "kinds": [
            {"name": label, "url": f"{add_url}?kind={kind}"} for kind, label in OccasionKind.choices
        ],
        "ways": _ways(request),
    }
    return render_page(request, "occasions/list.html", context)


def _ways(request: MemberRequest) -> list[dict[str, str]]:
    ways = [("Gift ideas", "occasions:gifts")]
    if request.member.role != Role.CHILD:
        ways.append(("Take in a list", "feeds:occasion_list"))
    if request.member.organises:
        ways.append(("Which lead jobs go with what", "occasions:sets"))
    at = [request.household.pk]
    return [{"name": name, "url": reverse(to, args=at)} for name, to in ways]


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponse:
    household = request.household
    if request.method != "POST":
        form = OccasionForm(household=household, initial=_chosen(request))
    else:
        form = OccasionForm(request.POST, household=household)
        if form.is_valid():
            occasion = actions.add_occasion(
                household=household,
                actor=request.member,
                wanted=form.wanted(),
                now=timezone.now(),
                key=form.cleaned_data["key"],
            )
            messages.success(request, _added(occasion, household.today(timezone.now())))
            return redirect("occasions:occasion", household.pk, occasion.pk)
    return _form_page(request, form, "What is coming?", "Add it", "occasions:list")


def _chosen(request: MemberRequest) -> dict[str, Any]:
    """What a link to this page fills in: a kind, a name, a day."""
    asked = request.GET
    filled: dict[str, Any] = {"key": uuid.uuid4(), "name": asked.get("name", "")[:80]}
    if asked.get("kind") in OccasionKind.values:
        filled["kind"] = asked["kind"]
    if filled.get("kind") == OccasionKind.EVENT:
        filled["sort"] = "once"
    try:
        day = date.fromisoformat(asked.get("day", ""))
    except ValueError:
        return filled
    filled |= {"day": day.day, "month": day.month}
    if asked.get("lasts", "").isdecimal():
        filled["lasts"] = min(int(asked["lasts"][:3]), 60)
    if filled.get("sort") == "once":
        filled["year"] = day.year
    return filled


def _added(occasion: Occasion, today: date) -> str:
    day = actions.day_of(occasion, today)
    if day is None:
        return f"“{occasion.name}” is kept. It lies in the past."
    away = (day - today).days
    when = {0: "today", 1: "tomorrow"}.get(away, f"in {away} days")
    return f"“{occasion.name}” is kept. It is {when}."


def _form_page(
    request: MemberRequest, form: OccasionForm, heading: str, save: str, to: str, **more: Any
) -> HttpResponse:
    context = {
        "heading": heading,
        "form": form,
        "save": save,
        "cancel_url": reverse(to, args=[request.household.pk, *more.pop("at", ())]),
        **more,
    }
    return render_page(request, "occasions/form.html", context)


def occasion_of(request: MemberRequest, occasion_id: int, *, archived: bool = False) -> Occasion:
    found = queries.occasions(request.household, archived=archived)
    return own(found, request.household, pk=occasion_id)


@members_only
@require_GET
def one(request: MemberRequest, occasion_id: int) -> HttpResponse:
    occasion = occasion_of(request, occasion_id)
    context = occasion_page(occasion, request.member, request.household.today(timezone.now()))
    return render_page(request, "occasions/occasion.html", context)


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: MemberRequest, occasion_id: int) -> HttpResponse:
    occasion = occasion_of(request, occasion_id)
    sent = request.POST if request.method == "POST" else None
    form = OccasionForm(sent, household=request.household, occasion=occasion)
    try:
        actions.must_be_theirs(occasion, request.member)
        if form.is_bound and form.is_valid():
            actions.change_occasion(
                occasion=occasion,
                actor=request.member,
                wanted=form.wanted(),
                now=timezone.now(),
            )
            messages.success(request, "Kept. What is to be done for it has moved with it.")
            return redirect("occasions:occasion", request.household.pk, occasion.pk)
    except HouseholdError as error:
        return render_error(request, error)
    return _form_page(
        request,
        form,
        occasion.name,
        "Keep it",
        "occasions:occasion",
        at=[occasion.pk],
        archive_url=url_of("archive", occasion),
    )


def _doing(act: Act, *, archived: bool = False) -> Callable[[MemberRequest, int], HttpResponse]:
    """A POST without a form: it changes the occasion and goes to its page, or to the list."""

    @wraps(act)
    def view(request: MemberRequest, occasion_id: int) -> HttpResponse:
        occasion = occasion_of(request, occasion_id, archived=archived)
        try:
            act(request, occasion, timezone.now())
        except HouseholdError as error:
            return render_error(request, error)
        if occasion.archived_at is not None:
            return redirect("occasions:list", request.household.pk)
        return redirect("occasions:occasion", request.household.pk, occasion.pk)

    return require_POST(view)


@members_only
@_doing
def archive(request: MemberRequest, occasion: Occasion, now: datetime) -> None:
    actions.archive_occasion(occasion=occasion, actor=request.member, now=now)
    say_with_way_back(
        request,
        f"“{occasion.name}” is put away.",
        url=url_of("restore", occasion),
        button="Bring it back",
    )


def _restore(request: MemberRequest, occasion: Occasion, now: datetime) -> None:
    actions.restore_occasion(occasion=occasion, actor=request.member, now=now)
    messages.success(request, f"“{occasion.name}” is back.")


restore = members_only(_doing(_restore, archived=True))


@grown_only
@_doing
def own_jobs(request: MemberRequest, occasion: Occasion, now: datetime) -> None:
    actions.give_own_jobs(occasion=occasion, actor=request.member, now=now)
    messages.success(request, "These lead jobs are now for this occasion alone.")


@grown_only
@_doing
def usual_jobs(request: MemberRequest, occasion: Occasion, now: datetime) -> None:
    actions.drop_own_jobs(occasion=occasion, actor=request.member, now=now)
    messages.success(request, "The usual lead jobs go with it again.")

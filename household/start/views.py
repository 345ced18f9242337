"""The short path of an organiser: members, areas, common chores. Open any time, each skippable."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.kit.words import listed
from household.people.access import MemberRequest, organiser_only
from household.people.models import AgeBand
from household.start import actions
from household.start.forms import AreasForm, ChoresForm, MembersForm
from household.start.listing import chore_groups, minutes_ticked, steps
from household.start.offers import offers
from household.start.queries import areas_here, free_together, living_here

ROWS, MOST_ROWS = 5, 30
CHILDREN = (AgeBand.UNDER_5, AgeBand.FROM_5, AgeBand.FROM_8, AgeBand.FROM_12)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def members(request: MemberRequest) -> HttpResponse:
    household = request.household
    rows = _rows(request.POST)
    form = MembersForm(request.POST if request.method == "POST" else None, rows=rows)
    asks_more = "more" in request.POST
    if form.is_bound and not asks_more and form.is_valid():
        try:
            added = actions.add_people(
                household=household, newcomers=form.newcomers(), now=timezone.now()
            )
        except HouseholdError as error:
            form.refuse(error)
        else:
            if added:
                messages.success(request, _come_words([member.name for member in added]))
            return redirect("start:areas", household.pk)
    context = {
        "form": form,
        "people": living_here(household),
        "rows": rows,
        "may_add_rows": rows < MOST_ROWS,
        **_around(request, "members", "start:areas"),
    }
    return render_page(request, "start/members.html", context, status=200 if asks_more else None)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def areas(request: MemberRequest) -> HttpResponse:
    household = request.household
    here: dict[str, list[str]] = {}
    for area in areas_here(household):
        here.setdefault(area.kind, []).append(area.name)
    children = [one.name for one in living_here(household) if one.age_band in CHILDREN]
    data = request.POST if request.method == "POST" else None
    form = AreasForm(data, here=here, children=children)
    if form.is_bound and form.is_valid():
        added = actions.add_areas(household=household, wanted=form.areas())
        if added:
            names = listed([area.name for area in added])
            messages.success(request, f"Added: {names}.")
        return redirect("start:chores", household.pk)
    context = {"form": form, **_around(request, "areas", "start:chores")}
    return render_page(request, "start/areas.html", context)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def chores(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    found = offers(household, household.today(now))
    form = ChoresForm(request.POST if request.method == "POST" else None, offers=found)
    if form.is_bound and form.is_valid():
        added = actions.add_chores(
            household=household, actor=request.member, picks=form.picks(), now=now
        )
        if added:
            messages.success(request, _added_words(len(added)))
        return redirect("web:today", household.pk)
    groups = chore_groups(form, found)
    context = {
        "form": form,
        "groups": groups,
        "count": sum(group.count for group in groups),
        "minutes": minutes_ticked(groups),
        "minutes_free": sum(free_together(living_here(household))),
        "has_areas": bool(areas_here(household)),
        "areas_url": reverse("start:areas", args=[household.pk]),
        **_around(request, "chores", "web:today"),
    }
    return render_page(request, "start/chores.html", context)


def _come_words(names: list[str]) -> str:
    return f"{listed(names)} {'lives' if len(names) == 1 else 'live'} here now."


def _added_words(count: int) -> str:
    chores = "1 chore is" if count == 1 else f"{count} chores are"
    return f"{chores} on the plan, kept in mind by you until you hand them over."


def _rows(sent: QueryDict) -> int:
    rows = sent.get("rows", "")
    shown = int(rows) if rows.isascii() and rows.isdigit() else ROWS
    return max(ROWS, min(shown + (ROWS if "more" in sent else 0), MOST_ROWS))


def _around(request: MemberRequest, here: str, then: str) -> dict[str, Any]:
    at = [request.household.pk]
    return {"steps": steps(request.household, here), "skip_url": reverse(then, args=at)}

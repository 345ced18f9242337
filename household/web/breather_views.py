"""What does us good: the household's own ideas, and what this week and the next offer of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.breathers import actions, queries
from household.breathers.forms import IdeaForm
from household.breathers.models import Breather, Company, Offer
from household.breathers.saying import is_in, url_of, who_words
from household.breathers.starter import never_had
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, members_only, own
from household.people.models import Member
from household.week.offering import fill, weeks_from

LISTS = (
    (Company.ONESELF, "What for oneself?"),
    (Company.TWO, "What for two?"),
    (Company.ALL, "What for all of us?"),
)
WEEKS = ("What is there this week?", "What comes next week?")


@members_only
@require_GET
def ideas(request: MemberRequest) -> HttpResponse:
    household, member = request.household, request.member
    today = household.today(timezone.now())
    found = list(queries.ideas(household, member))
    away = list(queries.ideas(household, member, archived=True))
    context = {
        "weeks": _weeks(member, today),
        "lists": [
            {"title": title, "rows": [_idea(each, member) for each in found if each.company == of]}
            for of, title in LISTS
        ],
        "archived": [{"name": each.name, "restore_url": _url("restore", each)} for each in away],
        "has_ideas": bool(found),
        "add_url": reverse("breathers:add", args=[household.pk]),
        "starter_url": reverse("breathers:starter", args=[household.pk])
        if _starter_left([*found, *away])
        else "",
    }
    return render_page(request, "breathers/list.html", context)


def _weeks(viewer: Member, today: date) -> list[dict[str, Any]]:
    """This week and the next, each with its offers: those of this viewer first."""
    words, firsts = DateWords(viewer.household.date_order), weeks_from(viewer.household, today)
    found = list(queries.offers(viewer.household, viewer).filter(starts__in=firsts))
    found.sort(key=lambda offered: not is_in(offered, viewer))
    return [
        {
            "title": title,
            "span": words.span(first, first + timedelta(days=6)),
            "rows": [_row(each, viewer, words, today) for each in found if each.starts == first],
        }
        for title, first in zip(WEEKS, firsts, strict=True)
    ]


def _row(offered: Offer, viewer: Member, words: DateWords, today: date) -> dict[str, Any]:
    when = words.day(offered.day) if offered.day else "whichever day suits"
    return {
        "name": offered.breather.name,
        "minutes": offered.breather.minutes,
        "who": who_words(offered, viewer),
        "when": "not this week" if offered.left_out else when,
        "private": offered.breather.private,
        "url": url_of(offered),
    }


def _idea(breather: Breather, viewer: Member) -> dict[str, Any]:
    mine = breather.owner_id == viewer.pk
    notes = {True: "only you see it", False: "yours"}[breather.private] if mine else ""
    if breather.owner is not None and not mine:
        notes = f"{breather.owner.name}’s"
    may = breather.owner_id in (None, viewer.pk)
    return {
        "name": breather.name,
        "minutes": breather.minutes,
        "note": notes,
        "url": _url("idea", breather) if may else "",
    }


def _starter_left(known: Sequence[Breather]) -> bool:
    """Whether the starter set has anything that was never on the shared lists."""
    return bool(never_had((each.company, each.name) for each in known if each.owner_id is None))


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponse:
    form = IdeaForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        try:
            added = actions.add_idea(by=request.member, idea=form.idea(), now=timezone.now())
        except HouseholdError as error:
            form.refuse(error)
        else:
            _fill(request)
            messages.success(request, f"“{added.name}” is on the list.")
            return _to_list(request)
    context = {"heading": "Add an idea", "form": form, "save": "Add it"}
    return _form_page(request, context)


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: MemberRequest, breather_id: int) -> HttpResponse:
    breather = _idea_of(request, breather_id)
    name = breather.name
    form = IdeaForm(request.POST if request.method == "POST" else None, breather=breather)
    if form.is_bound and form.is_valid():
        try:
            actions.change_idea(
                breather=breather, by=request.member, idea=form.idea(), now=timezone.now()
            )
        except HouseholdError as error:
            form.refuse(error)
        else:
            _fill(request)
            messages.success(request, f"“{breather.name}” is changed.")
            return _to_list(request)
    context = {"heading": name, "form": form, "save": "Keep the changes"}
    return _form_page(request, {**context, "archive_url": _url("archive", breather)})


def _form_page(request: MemberRequest, context: dict[str, Any]) -> HttpResponse:
    context["cancel_url"] = reverse("breathers:list", args=[request.household.pk])
    return render_page(request, "breathers/form.html", context)


@members_only
@require_POST
def archive(request: MemberRequest, breather_id: int) -> HttpResponse:
    breather = _idea_of(request, breather_id, archived=None)
    actions.archive_idea(breather=breather, now=timezone.now())
    _fill(request)
    way = _url("restore", breather)
    say_with_way_back(request, f"“{breather.name}” is put away.", url=way, button="Bring it back")
    return _to_list(request)


@members_only
@require_POST
def restore(request: MemberRequest, breather_id: int) -> HttpResponse:
    breather = _idea_of(request, breather_id, archived=None)
    try:
        actions.restore_idea(breather=breather, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    _fill(request)
    messages.success(request, f"“{breather.name}” is back on the list.")
    return _to_list(request)


@members_only
@require_POST
def starter(request: MemberRequest) -> HttpResponse:
    """A few ideas at one touch; sent again, it adds nothing twice."""
    count = actions.add_starter(household=request.household, now=timezone.now())
    _fill(request)
    said = f"{count} ideas to begin with. Change them, put them away, add your own."
    messages.success(request, said if count else "They are on the list already.")
    return _to_list(request)


def _fill(request: MemberRequest) -> None:
    now = timezone.now()
    fill(request.household, today=request.household.today(now), now=now)


def _idea_of(
    request: MemberRequest, breather_id: int, *, archived: bool | None = False
) -> Breather:
    """An idea that this member may change: a shared one or their own, else 404."""
    found = Breather.objects.select_related("household", "owner")
    if archived is not None:
        found = found.filter(archived_at__isnull=not archived)
    return own(
        found.filter(owner=None) | found.filter(owner=request.member),
        request.household,
        pk=breather_id,
    )


def _to_list(request: MemberRequest) -> HttpResponse:
    return redirect("breathers:list", request.household.pk)


def _url(name: str, breather: Breather) -> str:
    return reverse(f"breathers:{name}", args=[breather.household_id, breather.pk])

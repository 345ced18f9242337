"""The overview, the history, and who keeps what in mind."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from household.chores.keeping import hand_keeping
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.kit.paging import page_of
from household.overview import queries
from household.overview.forms import HistoryForm, KeepingForm
from household.overview.ledger import ledger
from household.overview.overdue import plan, rows
from household.overview.rhythms import area_rows, left_out, weekdays
from household.overview.saying import say
from household.overview.spans import WEEKS, Span, span_of
from household.people.access import MemberRequest, members_only, organiser_only
from household.people.models import Role
from household.people.queries import members
from household.week.early import early_words


@members_only
@require_GET
def overview(request: MemberRequest) -> HttpResponse:
    household, member = request.household, request.member
    today = household.today(timezone.now())
    words = DateWords(household.date_order)
    span = span_of(request.GET, today, household.first_weekday)
    found = ledger(household, span)
    late = plan(household, today, member)
    overdue = rows(household, late, words, acts=member.role != Role.CHILD)
    settling = sum(bool(row.settle_url) for row in overdue)
    context = {
        **_span_context(request, span, today, words),
        "answer": found.done_answer(),
        "kept_answer": found.kept_answer(),
        "wait": found.wait(),
        "away_words": found.away_words(),
        "helped_words": found.helped_words(),
        "chart": found.chart(),
        "early": early_words(household, today) if member.organises else [],
        "ahead_url": _url(request, "week:ahead"),
        "overdue": overdue,
        "areas": area_rows(household, today),
        "weekdays": weekdays(household, list(late.members.values()), today),
        "left_out": left_out(household, today, changes=member.organises),
        "share_url": _url(request, "people:members") if member.organises else "",
        "keepers_url": _url(request, "overview:keepers"),
        "history_url": _url(request, "overview:history"),
        "settle_count": settling,
        "settle_all_url": _url(request, "overview:settle") if settling > 1 else "",
    }
    return render_page(request, "overview/overview.html", context)


def _span_context(
    request: MemberRequest, span: Span, today: date, words: DateWords
) -> dict[str, Any]:
    def address(parts: dict[str, str]) -> str:
        return f"{request.path}?{urlencode(parts)}"

    later = span.later(today)
    return {
        "span_words": f"{words.span(span.first, span.end)}, {span.words}",
        "spans": [
            {
                "words": f"{weeks} week{'s' if weeks > 1 else ''}",
                "url": address(span.of(weeks, today)),
                "current": weeks == span.weeks,
            }
            for weeks in WEEKS
        ],
        "earlier_url": address(span.earlier()),
        "later_url": address(later) if later else "",
    }


@members_only
@require_GET
def history(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    form = HistoryForm(request.GET or None, household=household)
    wanted = form.wanted()
    page = page_of(request, queries.entries(household, request.member, **wanted))
    context = {
        "filter_form": form,
        "filtered": bool(wanted),
        "page": page,
        "rows": queries.history_rows(household, page.rows, request.member, now),
        "back_url": _url(request, "overview:overview"),
        "take_back_url": _url(request, "overview:take_back"),
    }
    return render_page(request, "overview/history.html", context, fragment="overview/_history.html")


@members_only
@require_GET
def keepers(request: MemberRequest) -> HttpResponse:
    """Everybody sees who keeps what; organisers hand it over."""
    kept = _keepers(request)
    form = None
    if request.member.organises:
        form = KeepingForm(household=request.household, keepers=kept)
    return _keepers_page(request, kept, form)


@organiser_only
@require_POST
def hand(request: MemberRequest) -> HttpResponse:
    kept = _keepers(request)
    form = KeepingForm(request.POST, household=request.household, keepers=kept)
    if form.is_valid() and _handed(request, form):
        return redirect("overview:keepers", request.household.pk)
    return _keepers_page(request, kept, form)


def _keepers(request: MemberRequest) -> list[queries.Keeper]:
    return queries.keepers(request.household, members(request.household))


def _keepers_page(
    request: MemberRequest, kept: list[queries.Keeper], form: KeepingForm | None
) -> HttpResponse:
    context = {
        "keepers": kept,
        "form": form,
        "hand_url": _url(request, "overview:hand"),
        "back_url": _url(request, "overview:overview"),
    }
    return render_page(request, "overview/keepers.html", context)


def _handed(request: MemberRequest, form: KeepingForm) -> bool:
    to, chores = form.cleaned_data["to"], form.chores()
    try:
        entries = hand_keeping(
            household=request.household,
            chores=chores,
            to=to,
            actor=request.member,
            now=timezone.now(),
            key=form.cleaned_data["key"],
        )
    except HouseholdError as error:
        form.refuse(error)
        return False
    thing = f"“{chores[0].name}”" if len(chores) == 1 else f"{len(entries)} chores"
    verb = "is" if len(chores) == 1 else "are"
    if entries:
        say(request, f"{thing} {verb} kept in mind by {to.name} now.", entries)
    return True


def _url(request: MemberRequest, name: str) -> str:
    return reverse(name, args=[request.household.pk])

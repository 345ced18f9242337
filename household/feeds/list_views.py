"""Taking in a list of occasions: read first, shown, and added by a second touch."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from household.calc.occasion_lists import Listed, ReadList
from household.feeds.list_form import ListForm, wanted
from household.kit.dates import DateWords
from household.kit.pages import render_page
from household.occasions import actions
from household.people.access import MemberRequest, grown_only
from household.people.queries import members


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def occasion_list(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    sent = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    form = ListForm(*sent, household=household, today=household.today(now))
    if not form.is_bound or not form.is_valid():
        return _page(request, form, None)
    read = form.read()
    if "add" not in request.POST or not read.rows:
        return _page(request, form.with_text(), read)
    kind = form.cleaned_data["kind"]
    added = actions.add_occasions(
        household=household,
        actor=request.member,
        rows=wanted(read.rows, kind, members(household)),
        now=now,
    )
    messages.success(request, _added(len(added), len(read.rows) - len(added)))
    return redirect("occasions:list", household.pk)


def _added(count: int, known: int) -> str:
    told = f"{count} added." if count else "Nothing is added."
    return f"{told} {known} stood there already." if known else told


def _page(request: MemberRequest, form: ListForm, read: ReadList | None) -> HttpResponse:
    words = DateWords(request.household.date_order)
    context: dict[str, Any] = {
        "heading": "Take in a list",
        "form": form,
        "save": "Look at it first",
        "cancel_url": reverse("occasions:list", args=[request.household.pk]),
        "read": read,
        "rows": [(row.name, _day(row, words)) for row in read.rows] if read else [],
    }
    return render_page(request, "feeds/list_in.html", context)


def _day(row: Listed, words: DateWords) -> str:
    day = words.short(date(2000, row.month, row.day))
    return f"{day}, {row.year}" if row.year else day

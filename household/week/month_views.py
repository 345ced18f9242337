"""The month, the year and the weeks ahead."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from household.kit.dates import DateWords
from household.kit.pages import render_page
from household.people.access import MemberRequest, members_only, organiser_only
from household.people.queries import members
from household.week import actions
from household.week.ahead import loads
from household.week.forms import MonthNoteForm
from household.week.month import month_page, year_page


def _checked(year: int, month: int = 1) -> None:
    if not (1970 <= year <= 2200 and 1 <= month <= 12):
        raise Http404


@members_only
@require_GET
def month(request: MemberRequest, year: int, month: int) -> HttpResponse:
    _checked(year, month)
    today = request.household.today(timezone.now())
    context = month_page(request.household, year, month, today, request.member)
    if request.member.organises:
        context["form"] = MonthNoteForm(initial={"notes": context["note"]})
    return render_page(request, "week/month.html", context)


@organiser_only
@require_POST
def notes(request: MemberRequest, year: int, month: int) -> HttpResponse:
    _checked(year, month)
    form = MonthNoteForm(request.POST)
    if not form.is_valid():
        today = request.household.today(timezone.now())
        context = month_page(request.household, year, month, today, request.member)
        return render_page(request, "week/month.html", {**context, "form": form})
    actions.write_month_note(
        household=request.household, year=year, month=month, notes=form.cleaned_data["notes"]
    )
    messages.success(request, "Kept.")
    return redirect("week:month", request.household.pk, year, month)


@members_only
@require_GET
def year(request: MemberRequest, year: int) -> HttpResponse:
    _checked(year)
    today = request.household.today(timezone.now())
    return render_page(request, "week/year.html", year_page(request.household, year, today))


@members_only
@require_GET
def ahead(request: MemberRequest) -> HttpResponse:
    """Will the next twelve weeks fit?"""
    household = request.household
    today = household.today(timezone.now())
    weeks = loads(household, today)
    words = DateWords(household.date_order)
    people = list(members(household))
    # A little wider than the longest, so that a line at the end is not cut off.
    most = 1.02 * max([max(week.due, week.free) for week in weeks] + [1])
    context = {
        "people": people,
        "weeks": [
            {
                "label": words.span(week.first, week.last),
                "load": week,
                "due_width": f"{round(100 * week.due / most)}%",
                "free_at": f"{round(100 * week.free / most)}%",
                "members": list(week.members),
                "first": week.first,
            }
            for week in weeks
        ],
        "tight": [week.words for week in weeks if week.tight],
    }
    return render_page(request, "week/ahead.html", context)

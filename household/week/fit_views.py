"""Scaling a week to the strength there is."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from household.chores.hiding import is_hidden
from household.chores.horizon import horizon_of
from household.chores.models import Task
from household.kit.dates import DateWords
from household.kit.pages import render_page
from household.people.access import MemberRequest, organiser_only
from household.week.forms import StrengthForm
from household.week.links import address
from household.week.queries import Week
from household.week.strength import (
    Proposal,
    have_back,
    lighten_week,
    propose,
    set_strength,
)
from household.week.views import read_week_of
from household.week.waiting import Alike, alike, loose_of


@organiser_only
@require_GET
def fit(request: MemberRequest, first: date) -> HttpResponse:
    """Choose the strength, and see at once what would wait and what would be lighter."""
    week = read_week_of(request, first)
    form = StrengthForm(request.GET or None, week=week)
    bare = "bare" in request.GET
    if form.is_bound and form.is_valid():
        week.plan.strength = form.everybody()
        week.plan.strengths = {
            str(pk): percent
            for pk, percent in form.members().items()
            if percent != form.everybody()
        }
        week = read_week_of(request, first, plan=week.plan)
    return _page(request, week, form, propose(week, bare=bare), bare)


def _page(
    request: MemberRequest, week: Week, form: StrengthForm, proposal: Proposal, bare: bool
) -> HttpResponse:
    words = DateWords(week.household.date_order)

    def lines(tasks: tuple[Task, ...]) -> list[Alike]:
        seen = [task for task in tasks if not is_hidden(task.limits, request.member.pk)]
        return alike(loose_of(week, task, None, words, week.first) for task in seen)

    context = {
        "title": words.span(week.first, week.last),
        "form": form,
        "fitted": proposal.fitted,
        "waiting": lines(proposal.waiting),
        "waiting_count": len(proposal.waiting),
        "lighter": lines(proposal.lighter),
        "lighter_count": len(proposal.lighter),
        "kept": proposal.kept,
        "bare": bare,
        "fit_url": address(week, "week_fit"),
        "apply_url": address(week, "week_lighten"),
        "back_url": address(week, "week"),
        "have_back_url": address(week, "week_have_back") if week.plan.fitted else "",
    }
    return render_page(request, "week/fit.html", context, fragment="week/_fit.html")


@organiser_only
@require_POST
def lighten(request: MemberRequest, first: date) -> HttpResponse:
    """Do it: what is ticked waits or is done more lightly. A bare week needs no list."""
    week, now = read_week_of(request, first), timezone.now()
    form = StrengthForm(request.POST, week=week)
    if not form.is_valid():
        return _page(request, week, form, propose(week), bare=False)
    leave_out = {int(pk) for pk in request.POST.getlist("leave") if pk.isdigit()}
    lighter = {int(pk) for pk in request.POST.getlist("lighter") if pk.isdigit()}
    if "bare" in request.POST and "listed" not in request.POST:
        proposal = propose(week, bare=True)
        leave_out = {task.pk for task in proposal.waiting}
        lighter = {task.pk for task in proposal.lighter}
    else:
        set_strength(week=week, everybody=form.everybody(), members=form.members())
    known = {task.pk for task in week.tasks}
    count = lighten_week(
        week=week,
        leave_out=leave_out & known,
        lighten=(lighter - leave_out) & known,
        actor=request.member,
        now=now,
        horizon=horizon_of(week.today),
    )
    messages.success(
        request,
        f"A lighter week: {count} task{'' if count == 1 else 's'} eased. All can be had back.",
    )
    return redirect(address(week, "week"))


@organiser_only
@require_POST
def back(request: MemberRequest, first: date) -> HttpResponse:
    week, now = read_week_of(request, first), timezone.now()
    count = have_back(week=week, actor=request.member, now=now, horizon=horizon_of(week.today))
    messages.success(request, f"{count} task{'' if count == 1 else 's'} are back as they were.")
    return redirect(address(week, "week"))

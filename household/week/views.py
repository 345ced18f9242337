"""The week's page and what the organiser does on it. Everybody may read it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.calc.history import week_of
from household.chores.models import Task
from household.kit.dates import DAYS, DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page, wants_fragment
from household.people.access import MemberRequest, members_only, organiser_only
from household.week import actions, sitting
from household.week.forms import NotesForm, PutForm
from household.week.models import WeekPlan
from household.week.page import address, week_page
from household.week.queries import Week, read_week
from household.week.telling import tell_of, what_changes
from household.week.why import why_words


def read_week_of(request: MemberRequest, first: date, plan: WeekPlan | None = None) -> Week:
    """The week that begins on `first`; another weekday is not an address of ours."""
    today = request.household.today(timezone.now())
    if week_of(first, request.household.first_weekday)[0] != first:
        raise Http404
    return read_week(request.household, first, today, plan=plan)


def _task(week: Week, task_id: int) -> Task:
    found = next((task for task in week.tasks if task.pk == task_id), None)
    if found is None:
        raise Http404
    return found


@members_only
@require_GET
def this_week(request: MemberRequest) -> HttpResponse:
    today = request.household.today(timezone.now())
    first, _ = week_of(today, request.household.first_weekday)
    return redirect("week:week", request.household.pk, first)


@members_only
@require_GET
def week(request: MemberRequest, first: date) -> HttpResponse:
    return _page(request, read_week_of(request, first))


def _page(request: MemberRequest, week: Week) -> HttpResponse:
    asked = request.GET.get("task", "")
    chosen = None
    if asked.isdigit() and request.member.organises:
        chosen = next((task for task in week.tasks if task.pk == int(asked)), None)
    day = _day(request.GET.get("day", ""))
    context = week_page(week, chosen=chosen, day=day)
    context["may_plan"] = request.member.organises
    context["notes_form"] = _notes_form(week) if request.member.organises else None
    context["outcome"] = week.plan.outcome
    return render_page(request, "week/week.html", context, fragment="week/_week.html")


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _notes_form(week: Week, data: Any = None) -> NotesForm:
    plan = week.plan
    words = {day.isoformat(): f"{DAYS[day.weekday()]} {day.day}" for day in week.days}
    initial = {
        "priorities": "\n".join(plan.priorities),
        "notes": plan.notes,
        "preset": plan.preset,
        **{f"day_{day}": text for day, text in plan.day_notes.items()},
    }
    return NotesForm(data, week=week, words=words, initial=initial)


@organiser_only
@require_POST
def share(request: MemberRequest, first: date) -> HttpResponse:
    """Share the week out; the page shows the first plan and improves it by itself."""
    week = read_week_of(request, first)
    try:
        sitting.share(week)
    except HouseholdError as error:
        return render_error(request, error)
    return _back(request, week)


@organiser_only
@require_GET
def proof(request: MemberRequest, first: date) -> HttpResponse:
    """Asked again and again while the search runs: the page anew when there is a better plan."""
    week = read_week_of(request, first)
    before = week.plan.outcome
    goes_on = sitting.look_again(week)
    if goes_on and before == week.plan.outcome and wants_fragment(request):
        return HttpResponse(status=204)
    return _page(request, week)


@organiser_only
@require_POST
def put(request: MemberRequest, first: date, task_id: int) -> HttpResponse:
    week = read_week_of(request, first)
    task = _task(week, task_id)
    form = PutForm(request.POST, week=week)
    if not form.is_valid():
        messages.error(request, "Choose who does it, and a day of this week.")
        return _back(request, week, f"?task={task.pk}#chosen")
    try:
        actions.put(week=week, task=task, **form.cleaned_data)
    except HouseholdError as error:
        return render_error(request, error)
    return _back(request, week)


@organiser_only
@require_POST
def release(request: MemberRequest, first: date, task_id: int) -> HttpResponse:
    week = read_week_of(request, first)
    actions.let_go(week=week, task=_task(week, task_id))
    return _back(request, week)


@organiser_only
@require_POST
def undo(request: MemberRequest, first: date) -> HttpResponse:
    week = read_week_of(request, first)
    words = actions.undo_step(plan=week.plan)
    if words:
        messages.success(request, f"Taken back: {words}.")
    return _back(request, week)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def settle(request: MemberRequest, first: date) -> HttpResponse:
    """Settle a draft at once; a settled week first shows what changes for whom."""
    week = read_week_of(request, first)
    made = actions.changes(week)
    again = week.plan.settled_at is not None and made
    if request.method != "POST" or (again and "sure" not in request.POST):
        words = DateWords(week.household.date_order)
        context = {
            "week_title": words.span(week.first, week.last),
            "people": what_changes(week, made, words),
            "settle_url": address(week, "week_settle"),
            "back_url": address(week, "week"),
        }
        return render_page(request, "week/settle.html", context)
    now = timezone.now()
    done = actions.settle(week=week, actor=request.member, now=now)
    tell_of(week, done, actor=request.member, now=now)
    messages.success(request, _settled_words(len(done)))
    return _back(request, week)


def _settled_words(count: int) -> str:
    if not count:
        return "The week is settled as it stands."
    return f"The week is settled: {count} task{'' if count == 1 else 's'} given a place."


@organiser_only
@require_POST
def notes(request: MemberRequest, first: date) -> HttpResponse:
    week = read_week_of(request, first)
    form = _notes_form(week, request.POST)
    if not form.is_valid():
        context = week_page(week, chosen=None, day=None)
        context |= {"may_plan": True, "notes_form": form, "outcome": week.plan.outcome}
        return render_page(request, "week/week.html", context, status=422)
    values = form.cleaned_data
    actions.write_down(
        plan=week.plan,
        priorities=values["priorities"].splitlines(),
        notes=values["notes"],
        day_notes=form.day_notes(),
        preset=values["preset"] or week.plan.preset,
    )
    messages.success(request, "Kept.")
    return _back(request, week)


@members_only
@require_GET
def why(request: MemberRequest, first: date, task_id: int) -> HttpResponse:
    """Why is this mine? For any task of the week and anybody of the household."""
    week = read_week_of(request, first)
    task = _task(week, task_id)
    context = {
        "task": task,
        "sentences": why_words(week, task),
        "back_url": address(week, "week"),
    }
    return render_page(request, "week/why.html", context, fragment="week/_why.html")


def _back(request: MemberRequest, week: Week, more: str = "") -> HttpResponse:
    return redirect(f"{address(week, 'week')}{more}")

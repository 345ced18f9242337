"""The week's page and what the organiser does on it. Everybody may read it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.calc.history import week_of
from household.calc.names import DAYS
from household.chores.hiding import is_hidden
from household.chores.models import Task
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError, Refused
from household.kit.pages import render_error, render_page, wants_fragment
from household.people.access import MemberRequest, members_only, organiser_only
from household.people.models import Member
from household.week import actions, sitting
from household.week.early import early_words
from household.week.forms import NotesForm, PutForm
from household.week.links import address, page_address
from household.week.models import WeekPlan
from household.week.page import week_page
from household.week.places import where_in
from household.week.queries import Week, as_seen_by, read_week
from household.week.telling import tell_of, what_changes
from household.week.together import place_again, together_of
from household.week.why import why_words


def read_week_of(request: MemberRequest, first: date, plan: WeekPlan | None = None) -> Week:
    """The week that begins on `first`; another weekday is not an address of ours."""
    today = request.household.today(timezone.now())
    if week_of(first, request.household.first_weekday)[0] != first:
        raise Http404
    week = read_week(request.household, first, today, plan=plan)
    if not request.member.organises and week.plan.draft:
        # A draft is the organiser's until it is settled: everybody else sees how it stands.
        week.plan.places, week.plan.outcome = {}, {}
    return week


def _task(request: MemberRequest, week: Week, task_id: int) -> Task:
    seen = as_seen_by(week, request.member)
    found = next((task for task in seen.tasks if task.pk == task_id), None)
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


def _page(
    request: MemberRequest,
    week: Week,
    *,
    fragment: str = "week/_week.html",
    **more: Any,
) -> HttpResponse:
    """The page, or its body; `day` and `task` of the address say what is shown and chosen."""
    week = as_seen_by(week, request.member)
    asked = request.GET.get("task", "")
    chosen = None
    if asked.isdigit() and request.member.organises and request.method != "POST":
        chosen = next((task for task in week.tasks if task.pk == int(asked)), None)
    shown = more.pop("shown", None) or _day(request.GET.get("day", ""))
    context = {**week_page(week, chosen=chosen, day=shown), **_own(request, week)}
    context |= {**together_of(week, request.member), **more}
    return render_page(request, "week/week.html", context, fragment=fragment)


def _own(request: MemberRequest, week: Week) -> dict[str, Any]:
    """What only an organiser's page has."""
    organises = request.member.organises
    return {
        "may_plan": organises,
        "notes_form": _notes_form(week) if organises else None,
        "outcome": week.plan.outcome,
        # Morphing leaves them as they are, so a fragment need not work them out again.
        "early": early_words(week.household, week.today)
        if organises and not wants_fragment(request)
        else [],
    }


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
    return _after(request, week, "Shared out. Nothing is settled yet.", focus="share")


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
    task = _task(request, week, task_id)
    form = PutForm(request.POST, week=week)
    if not form.is_valid():
        return render_error(request, Refused("Choose who does it, and a day of this week."))
    try:
        actions.put(week=week, task=task, **form.cleaned_data)
    except HouseholdError as error:
        return render_error(request, error)
    member, day = form.cleaned_data["member"], form.cleaned_data["day"]
    said = f"“{task.name}” is with {member.name} on {DAYS[day.weekday()]}."
    return _after(request, week, said, focus=f"t-{task.pk}", shown=day)


@organiser_only
@require_POST
def release(request: MemberRequest, first: date, task_id: int) -> HttpResponse:
    week = read_week_of(request, first)
    task = _task(request, week, task_id)
    actions.let_go(week=week, task=task)
    return _after(request, week, f"“{task.name}” stands as before.", focus=f"t-{task.pk}")


@organiser_only
@require_POST
def undo(request: MemberRequest, first: date) -> HttpResponse:
    week = read_week_of(request, first)
    words = actions.undo_step(plan=week.plan)
    said = f"Taken back: {words}." if words else "There is nothing more to take back."
    return _after(request, week, said, focus="undo" if week.plan.steps else "share")


def _after(
    request: MemberRequest, week: Week, said: str, *, focus: str, shown: date | None = None
) -> HttpResponse:
    """After a change of the draft: the page's body for htmx, or the page by a redirect.

    `focus` is the id of what the next key press belongs to.
    """
    shown = shown or _day(request.GET.get("day", ""))
    here = page_address(week, day=shown)
    if not wants_fragment(request):
        messages.success(request, said)
        return redirect(f"{here}#{focus}")
    fresh = read_week_of(request, week.first)
    answer = _page(
        request, fresh, fragment="week/_answer.html", said=said, focus=focus, shown=shown
    )
    answer["HX-Replace-Url"] = here
    return answer


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
            "people": what_changes(week, _seen(made, request.member), words),
            "settle_url": address(week, "week_settle"),
            "back_url": address(week, "week"),
        }
        return render_page(request, "week/settle.html", context)
    now = timezone.now()
    try:
        done = actions.settle(week=week, actor=request.member, now=now)
    except HouseholdError as error:
        return render_error(request, error)
    tell_of(week, done, actor=request.member, now=now)
    place_again(read_week_of(request, first), now)
    messages.success(request, _settled_words(len(done)))
    return _back(request, week)


def _seen(made: Sequence[actions.Change], member: Member) -> list[actions.Change]:
    return [each for each in made if not is_hidden(each.task.limits, member.pk)]


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
        week = as_seen_by(week, request.member)
        context = {**week_page(week, chosen=None, day=None), **_own(request, week)}
        context |= together_of(week, request.member)
        context["notes_form"] = form
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
    task = _task(request, week, task_id)
    where = where_in(week, task)
    day = where.day if where else None
    context = {
        "task": task,
        "where": where,
        "day_words": DateWords(week.household.date_order).day(day) if day else "",
        "mine": where is not None and where.member.pk == request.member.pk,
        "sentences": why_words(week, task),
        "back_url": f"{page_address(week, day=day)}#t-{task.pk}",
    }
    return render_page(request, "week/why.html", context, fragment="week/_why.html")


def _back(request: MemberRequest, week: Week) -> HttpResponse:
    return redirect(page_address(week, day=_day(request.GET.get("day", ""))))

"""One task: its page, and everything that a person does with it.

Changes are POSTs. htmx gets the row back; without script the browser returns to the page it
came from. Nothing is ever ticked by GET.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from functools import wraps
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.chores import queries, ticking
from household.chores.changes import Overtaken
from household.chores.hiding import is_hidden, seen_by
from household.chores.history import EntryLine, lines
from household.chores.horizon import horizon_of
from household.chores.models import Entry, State, Task
from household.chores.queries import minutes_due
from household.chores.rows import RowMaker, value_of
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page, wants_fragment
from household.people.access import MemberRequest, grown_only, members_only, own
from household.people.models import Member
from household.web.day import row_maker
from household.web.forms import (
    AddForm,
    HandForm,
    MeasureForm,
    MoveForm,
    QuickAddForm,
    Sent,
    SkipForm,
)
from household.web.swap_views import Wanted, wanted
from household.week.links import why_address

Act = Callable[[MemberRequest, Task, datetime], Task]


def _task(request: MemberRequest, task_id: int) -> Task:
    seen = seen_by(queries.with_chore(request.household), request.member)
    return own(seen, request.household, pk=task_id)


def _changing(act: Act) -> Callable[[MemberRequest, int], HttpResponse]:
    """A POST that changes one task and answers with its row."""

    @wraps(act)
    def view(request: MemberRequest, task_id: int) -> HttpResponse:
        now = timezone.now()
        try:
            task = _changed(request, task_id, act, now)
        except HouseholdError as error:
            return render_error(request, error)
        if not wants_fragment(request):
            return redirect(_back(request))
        return _row(request, task, now, did=act.__name__)

    return require_POST(view)


def _changed(request: MemberRequest, task_id: int, act: Act, now: datetime) -> Task:
    """The task after `act`; where somebody else came in between, acted on as they left it."""
    for attempt in (1, 2):
        task = queries.task_for_change(request.household, task_id)
        if task is None or is_hidden(task.limits, request.member.pk):
            raise Http404
        try:
            return act(request, task, now)
        except Overtaken:
            if attempt == 2:
                raise
    raise AssertionError("two attempts return or raise")


def _row(request: MemberRequest, task: Task, now: datetime, *, did: str) -> HttpResponse:
    """The row as it stands now. The phone has counted a tick itself: other sums come along."""
    household, member = request.household, request.member
    for who in ("member", "done_by"):
        if getattr(task, f"{who}_id") == member.pk:
            setattr(task, who, member)
    asks_how_long = did in ("tick", "longer", "shorter") and task.minutes_taken is None
    maker = row_maker(household, household.today(now))
    context: dict[str, Any] = {"row": maker.row(value_of(task), just_ticked=asks_how_long)}
    if did != "tick":
        context["minutes_to_go"] = minutes_due(household, _owner(request), maker.today)
    response = HttpResponse(render_to_string("web/_ticked.html", context))
    patch_vary_headers(response, ["HX-Request"])
    return response


def _owner(request: MemberRequest) -> Member:
    """Whose Today the row stands on, as the page's own address tells."""
    part = (request.htmx.current_url_abs_path or "").rstrip("/").rpartition("/today/")[2]
    if part.isdigit() and int(part) != request.member.pk:
        other = Member.objects.filter(household=request.household, pk=int(part)).first()
        return other or request.member
    return request.member


def _back(request: MemberRequest) -> str:
    referer = request.headers.get("Referer", "")
    if url_has_allowed_host_and_scheme(
        referer, {request.get_host()}, require_https=request.is_secure()
    ):
        return referer
    return reverse("web:today", args=[request.household.pk])


def _sent(request: MemberRequest) -> tuple[UUID | None, datetime | None]:
    sent = Sent(request.POST)
    return sent.key(), sent.moment()


def _horizon(task: Task, now: datetime) -> date:
    return horizon_of(task.household.today(now))


@members_only
@_changing
def tick(request: MemberRequest, task: Task, now: datetime) -> Task:
    key, moment = _sent(request)
    return ticking.tick(
        task=task,
        member=request.member,
        now=now,
        horizon=_horizon(task, now),
        done_at=moment,
        key=key,
    )


@members_only
@_changing
def undo(request: MemberRequest, task: Task, now: datetime) -> Task:
    key, _ = _sent(request)
    return ticking.undo(
        task=task, member=request.member, now=now, horizon=_horizon(task, now), key=key
    )


@members_only
@_changing
def take(request: MemberRequest, task: Task, now: datetime) -> Task:
    return ticking.take(task=task, member=request.member, now=now, key=_sent(request)[0])


@members_only
@_changing
def longer(request: MemberRequest, task: Task, now: datetime) -> Task:
    return _measured(request, task, now, step=5)


@members_only
@_changing
def shorter(request: MemberRequest, task: Task, now: datetime) -> Task:
    return _measured(request, task, now, step=-5)


def _measured(request: MemberRequest, task: Task, now: datetime, *, step: int) -> Task:
    """Five minutes more or less a touch: near enough, and no typing with wet hands."""
    minutes = max(1, (task.minutes_taken or task.minutes) + step)
    return ticking.measure(task=task, minutes=minutes, member=request.member, now=now)


@members_only
@require_POST
def skip(request: MemberRequest, task_id: int) -> HttpResponse:
    def act(task: Task, form: Form, now: datetime) -> None:
        ticking.skip(
            task=task,
            member=request.member,
            reason=form.cleaned_data["reason"],
            now=now,
            horizon=_horizon(task, now),
            key=_sent(request)[0],
        )

    return _by_form(request, task_id, "skip", SkipForm(request.POST), act)


@members_only
@require_POST
def measure(request: MemberRequest, task_id: int) -> HttpResponse:
    def act(task: Task, form: Form, now: datetime) -> None:
        minutes = form.cleaned_data["minutes"]
        ticking.measure(task=task, minutes=minutes, member=request.member, now=now)

    return _by_form(request, task_id, "measure", MeasureForm(request.POST), act)


@members_only
@require_POST
def hand(request: MemberRequest, task_id: int) -> HttpResponse:
    def act(task: Task, form: Form, now: datetime) -> None:
        to = form.cleaned_data["member"]
        ticking.hand_over(task=task, to=to, actor=request.member, now=now)

    form = HandForm(request.POST, household=request.household)
    return _by_form(request, task_id, "hand", form, act)


@grown_only
@require_POST
def move(request: MemberRequest, task_id: int) -> HttpResponse:
    def act(task: Task, form: Form, now: datetime) -> None:
        ticking.move(task=task, day=form.cleaned_data["day"], actor=request.member, now=now)

    return _by_form(request, task_id, "move", MoveForm(request.POST), act)


def _by_form(
    request: MemberRequest,
    task_id: int,
    name: str,
    form: Any,
    act: Callable[[Task, Any, datetime], None],
) -> HttpResponse:
    """Act if the form is right; else show the task's page again with what was typed."""
    now = timezone.now()
    task = _task(request, task_id)
    if form.is_valid():
        try:
            act(task, form, now)
        except HouseholdError as error:
            form.refuse(error)
        else:
            return redirect("web:task", request.household.pk, task.pk)
    return _task_page(request, task, now, status=422, **{f"{name}_form": form})


@members_only
@require_GET
def task(request: MemberRequest, task_id: int) -> HttpResponse:
    return _task_page(request, _task(request, task_id), timezone.now())


def _task_page(
    request: MemberRequest, task: Task, now: datetime, *, status: int = 200, **forms: Any
) -> HttpResponse:
    household = request.household
    maker = row_maker(household, household.today(now))
    context = {
        "task": task,
        "row": maker.row(queries.one_value(task.pk)),
        "history": _history(task, maker, now),
        "is_open": task.state == State.OPEN,
        "is_done": task.state == State.DONE,
        "words": _task_words(task, maker.words),
        "why_url": _why_url(task, maker.today),
        "skip_form": SkipForm(),
        "measure_form": MeasureForm(initial={"minutes": task.minutes_taken or task.minutes}),
        "hand_form": HandForm(household=household, initial={"member": task.member_id}),
        "wanted": _wanted(request, task, maker.today),
        "move_form": MoveForm(initial={"day": task.day or task.closes}),
        **forms,
    }
    return render_page(request, "web/task.html", context, status=status)


def _why_url(task: Task, today: date) -> str:
    """Why it is with whoever has it; nothing to explain where it is nobody's or closed."""
    if task.state != State.OPEN or task.member_id is None:
        return ""
    return why_address(task.household, task, today)


def _wanted(request: MemberRequest, task: Task, today: date) -> list[tuple[str, list[Wanted]]]:
    """What one could ask for in exchange for an open task of one's own."""
    mine = task.state == State.OPEN and task.member_id == request.member.pk
    return wanted(request.member, today) if mine else []


def _history(task: Task, maker: RowMaker, now: datetime) -> list[EntryLine]:
    entries: list[Entry] = list(queries.task_entries(task))
    return lines(entries, maker.words, maker.zone, maker.today)


def _task_words(task: Task, words: DateWords) -> str:
    if task.opens == task.closes:
        return words.day(task.closes)
    return f"Any day, {words.span(task.opens, task.closes)}"


@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponseBase:
    """A one-off: quickly from Today, or on a page of its own for another day or person."""
    now = timezone.now()
    today = request.household.today(now)
    quick = "add-day" not in request.POST
    if request.method == "POST":
        form = QuickAddForm(request.POST) if quick else _add_form(request, request.POST)
        if form.is_valid():
            return _added(request, form, now)
        if not quick:
            return render_page(request, "web/add.html", {"form": form})
    data = {f"add-{name}": request.POST.get(f"add-{name}", "") for name in ("name", "minutes")}
    form = _add_form(request, None, {"day": today, "member": request.member.pk})
    if request.method == "POST":
        form = _add_form(request, {**data, "add-day": today, "add-member": request.member.pk})
    return render_page(request, "web/add.html", {"form": form})


def _add_form(request: MemberRequest, data: Any, initial: Any = None) -> AddForm:
    return AddForm(data, household=request.household, viewer=request.member, initial=initial or {})


def _added(request: MemberRequest, form: QuickAddForm, now: datetime) -> HttpResponse:
    values = form.cleaned_data
    day = values.get("day") or request.household.today(now)
    area = values.get("area")
    task = ticking.add_one_off(
        household=request.household,
        actor=request.member,
        now=now,
        name=values["name"],
        minutes=values["minutes"],
        opens=day,
        closes=values.get("by") or day,
        member=values.get("member", request.member),
        area_id=area.pk if area else None,
        key=values["key"],
    )
    messages.success(request, f"“{task.name}” is on the list.")
    return redirect("web:today", request.household.pk)

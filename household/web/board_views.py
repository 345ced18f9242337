"""The shared screen's own pages. Whoever touches it says who they are, each time anew."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.http import HttpResponse, HttpResponseBase, HttpResponseNotModified
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_GET, require_POST

from household import daily
from household.chores import queries, ticking
from household.chores.eligibility import done_refusal
from household.chores.hiding import seen_by
from household.chores.horizon import horizon_of
from household.chores.models import State, Task
from household.kit.errors import HouseholdError, Refused
from household.kit.pages import render_page, wants_fragment
from household.overview.forms import numbers_of
from household.people import queries as people
from household.people.access import ScreenRequest, own, screen_only
from household.people.models import Member
from household.web import board as shown
from household.web.forms import Sent
from household.web.keeping import is_known

QUESTIONS = {
    "tick": "Who did it?",
    "take": "Who takes it on?",
    "undo": "Not done after all? Who says so?",
}
Act = Callable[[ScreenRequest, Task, Member, datetime], None]


@screen_only
@require_GET
def board(request: ScreenRequest) -> HttpResponseBase:
    """The overview; a screen that asks again hears 304 until something has changed."""
    now, household = timezone.now(), request.household
    daily.catch_up(household, now)
    version = shown.version(household, now)
    if wants_fragment(request) and is_known(request, version):
        response: HttpResponseBase = HttpResponseNotModified()
        patch_vary_headers(response, ["HX-Request"])
    else:
        context = {**shown.board(household, now), "version": version}
        context["just_done"] = _just_done(request)
        response = render_page(request, "web/board.html", context, fragment="web/_board.html")
    if wants_fragment(request):
        response["ETag"] = version
    response["Cache-Control"] = "private, no-cache"
    return response


def _just_done(request: ScreenRequest) -> Task | None:
    """The task that was ticked a moment ago, which one touch takes back."""
    numbers = numbers_of(request.GET.get("done", ""))
    seen = seen_by(queries.with_chore(request.household), None)
    task = seen.filter(pk__in=numbers, state=State.DONE, done_by__isnull=False)
    return task.select_related("done_by").first() if numbers else None


@screen_only
@require_GET
def week(request: ScreenRequest) -> HttpResponse:
    return render_page(
        request, "web/board_week.html", shown.week(request.household, timezone.now())
    )


@screen_only
@require_GET
def who(request: ScreenRequest, task_id: int) -> HttpResponse:
    """Who did it, takes it on, or takes it back? Nobody is chosen beforehand."""
    task = _task(request, task_id)
    does = _does(task, "take" in request.GET)
    return _ask(request, task, does)


def _does(task: Task, take: bool) -> str:
    if task.state == State.DONE:
        return "undo"
    return "take" if take and _is_free(task) else "tick"


def _is_free(task: Task) -> bool:
    return task.member_id is None and not task.helper and task.state == State.OPEN


def _ask(
    request: ScreenRequest, task: Task, does: str, *, sentence: str = "", status: int = 200
) -> HttpResponse:
    household = request.household
    url = reverse("web:board_task", args=[household.pk, task.pk])
    maker = shown.row_maker(household, household.today(timezone.now()))
    context: dict[str, Any] = {
        "household": household,
        "task": task,
        "row": maker.row(queries.one_value(task.pk)),
        "question": QUESTIONS[does],
        "does": does,
        "act_url": f"{url}{does}/",
        "members": people.members(household),
        "tick_id": uuid.uuid4(),
        "sentence": sentence,
        "take_url": f"{url}?take" if does == "tick" and _is_free(task) else "",
        "board_url": reverse("web:board", args=[household.pk]),
    }
    return render_page(request, "web/board_who.html", context, status=status)


def _acting(does: str) -> Callable[[Act], Callable[[ScreenRequest, int], HttpResponse]]:
    """A POST by the member whose mark was touched; a refusal asks again and says why."""

    def decorate(act: Act) -> Callable[[ScreenRequest, int], HttpResponse]:
        def view(request: ScreenRequest, task_id: int) -> HttpResponse:
            now, task = timezone.now(), _task(request, task_id)
            try:
                member = _member(request)
                act(request, task, member, now)
            except HouseholdError as error:
                return _ask(request, task, does, sentence=error.message, status=error.status)
            ticked = f"?done={task.pk}" if does == "tick" else ""
            return redirect(f"{reverse('web:board', args=[request.household.pk])}{ticked}")

        return require_POST(view)

    return decorate


def _member(request: ScreenRequest) -> Member:
    numbers = numbers_of(request.POST.get("member", ""))
    if len(numbers) != 1:
        raise Refused("Touch a mark, so that it is known who it was.")
    return own(people.members(request.household), request.household, pk=numbers[0])


@screen_only
@_acting("tick")
def tick(request: ScreenRequest, task: Task, member: Member, now: datetime) -> None:
    words = done_refusal(task, member)
    if words:
        raise Refused(words)
    ticking.tick(
        task=task,
        member=member,
        now=now,
        horizon=horizon_of(request.household.today(now)),
        key=Sent(request.POST).key(),
        device=request.device,
    )


@screen_only
@_acting("undo")
def undo(request: ScreenRequest, task: Task, member: Member, now: datetime) -> None:
    if task.state != State.DONE:
        return
    ticking.undo(
        task=task,
        member=member,
        now=now,
        horizon=horizon_of(request.household.today(now)),
        key=Sent(request.POST).key(),
        device=request.device,
    )


@screen_only
@_acting("take")
def take(request: ScreenRequest, task: Task, member: Member, now: datetime) -> None:
    ticking.take(
        task=task,
        member=member,
        now=now,
        key=Sent(request.POST).key(),
        device=request.device,
    )


def _task(request: ScreenRequest, task_id: int) -> Task:
    seen = seen_by(queries.with_chore(request.household), None)
    return own(seen, request.household, pk=task_id)

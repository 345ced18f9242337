"""One touch settles an overdue task. All are POSTs, and each can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import wraps

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from household.chores import ticking
from household.chores.hiding import entries_seen_by, seen_by
from household.chores.history import lines
from household.chores.horizon import horizon_of
from household.chores.models import Entry, Task
from household.chores.queries import with_chore
from household.chores.settling import lighten, may_drop
from household.chores.settling import settle as settle_one
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError, Refused
from household.kit.pages import render_error
from household.overview import actions
from household.overview.forms import MoveForm, numbers_of, wishes_of
from household.overview.overdue import lighter_day, plan
from household.overview.saying import say
from household.people.access import MemberRequest, grown_only, own

DROPPED = "Dropped from the overview"


Act = Callable[[MemberRequest, Task, datetime], Entry | None]


def _settling(act: Act) -> Callable[[MemberRequest, int], HttpResponse]:
    """A POST that settles one overdue task; sent again, or too late, it changes nothing."""

    @wraps(act)
    def view(request: MemberRequest, task_id: int) -> HttpResponse:
        now = timezone.now()
        seen = seen_by(with_chore(request.household), request.member)
        task = own(seen, request.household, pk=task_id)
        if not task.is_late(request.household.today(now)):
            return _back(request, [], "")
        try:
            entry = act(request, task, now)
        except HouseholdError as error:
            return render_error(request, error)
        if entry is None:
            return _back(request, [], "")
        return _back(request, [entry], _told(request, entry, task.name))

    return require_POST(view)


def _back(request: MemberRequest, entries: Sequence[Entry], words: str) -> HttpResponse:
    """To where the touch was, with what was done and a way to undo it."""
    if entries:
        say(request, words, entries)
    referer = request.headers.get("Referer", "")
    hosts = {request.get_host()}
    if url_has_allowed_host_and_scheme(referer, hosts, require_https=request.is_secure()):
        return redirect(referer)
    return redirect("overview:overview", request.household.pk)


def _told(request: MemberRequest, entry: Entry, name: str) -> str:
    """ "Descale the kettle": you moved it to Friday 27 November."""
    household = request.household
    words = DateWords(household.date_order)
    line = lines([entry], words, household.zone, household.today(entry.at))[0]
    return f"“{name}”: you {line.what}."


@grown_only
@require_POST
def settle(request: MemberRequest) -> HttpResponse:
    """One task, or all of them, each as the page said that it fits best."""
    try:
        entries = actions.settle_as_wished(
            household=request.household,
            wishes=wishes_of(request.POST.getlist("fit")),
            actor=request.member,
            now=timezone.now(),
        )
    except HouseholdError as error:
        return render_error(request, error)
    if len(entries) == 1 and entries[0].task is not None:
        return _back(request, entries, _told(request, entries[0], entries[0].task.name))
    return _back(request, entries, f"{len(entries)} tasks have a person and a day now.")


@grown_only
@_settling
def move(request: MemberRequest, task: Task, now: datetime) -> Entry | None:
    form = MoveForm(request.POST)
    if not form.is_valid() or form.cleaned_data["day"] < request.household.today(now):
        raise Refused("Choose today or a later day. Nothing was changed.")
    day = form.cleaned_data["day"]
    return settle_one(task=task, to=task.member, day=day, actor=request.member, now=now)


@grown_only
@_settling
def lighter(request: MemberRequest, task: Task, now: datetime) -> Entry | None:
    """The next lighter level, in fewer minutes, on the first day with room for it."""
    day = lighter_day(plan(request.household, request.household.today(now), request.member), task)
    return lighten(task=task, actor=request.member, now=now, day=day)


@grown_only
@_settling
def drop(request: MemberRequest, task: Task, now: datetime) -> Entry | None:
    if task.chore and not may_drop(task.chore.importance):
        raise Refused(f"“{task.name}” is for health or safety. Move it or hand it over.")
    horizon = horizon_of(request.household.today(now))
    ticking.skip(task=task, member=request.member, reason=DROPPED, now=now, horizon=horizon)
    return task.entries.order_by("-at", "-id").first()


@grown_only
@require_POST
def take_back(request: MemberRequest) -> HttpResponse:
    """Undo the entries named, if nobody has changed anything since."""
    household, now = request.household, timezone.now()
    numbers = numbers_of(request.POST.get("entries", ""))
    named = Entry.objects.filter(household=household, pk__in=numbers)
    found = entries_seen_by(named, request.member).select_related("undone_by")
    try:
        taken = actions.take_back(
            household=household,
            entries=list(found),
            actor=request.member,
            now=now,
            horizon=horizon_of(household.today(now)),
        )
    except HouseholdError as error:
        return render_error(request, error)
    if taken:
        messages.success(request, "Taken back: it stands as it did before.")
    return _back(request, [], "")

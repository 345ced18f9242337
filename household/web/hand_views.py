"""Handing work over: look at somebody's day or week, pick tasks, and give or move them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST

from household.chores import handing
from household.chores.handing import Outcome
from household.chores.hiding import seen_by
from household.chores.rows import COLUMNS
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, grown_only
from household.people.queries import members
from household.web.day import row_maker
from household.web.hand_form import HandWorkForm, Lookout

SALT = "handed over"


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def work(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    today, people = household.today(now), list(members(household))
    lookout = Lookout(
        request.GET,
        people=people,
        viewer=request.member,
        today=today,
        words=DateWords(household.date_order),
    )
    maker = row_maker(household, today)
    tasks = seen_by(lookout.looked.tasks(household, today), request.member)
    rows = maker.rows(tasks.values(*COLUMNS))
    ids = [row.id for row in rows]
    form = HandWorkForm(request.POST or None, tasks=ids, people=people, today=today)
    here = f"{request.path}?{lookout.looked.query()}"
    if request.method == "POST" and form.is_valid():
        try:
            _act(request, form, here)
        except HouseholdError as error:
            form.refuse(error)
        else:
            return redirect(here)
    context = {
        "form": form,
        "rows": rows,
        "picked": form.picked() if form.is_bound else (),
        "lookout": lookout,
        "people": people,
        "here": here,
        "today": today,
    }
    return render_page(request, "web/hand.html", context)


def _act(request: MemberRequest, form: HandWorkForm, here: str) -> None:
    values, now = form.cleaned_data, timezone.now()
    common: dict[str, Any] = {
        "household": request.household,
        "task_ids": values["tasks"],
        "actor": request.member,
        "now": now,
    }
    if values["do"] == "move":
        words = DateWords(request.household.date_order)
        outcome = handing.move_all(day=values["day"], **common)
        where = f"on {words.day(values['day'])} now"
    else:
        to = form.to_member()
        outcome = handing.hand_all(to=to, **common)
        where = f"{to.name}’s now" if to else "for anyone now"
    _say(request, outcome, where, here)


def _say(request: MemberRequest, outcome: Outcome, where: str, here: str) -> None:
    """What happened with the way back, and a sentence for each task that stays."""
    count = len(outcome.entries)
    if count:
        signed = signing.dumps([request.household.pk, outcome.entries], salt=SALT)
        say_with_way_back(
            request,
            f"{count} task{'s are' if count > 1 else ' is'} {where}.",
            url=reverse("web:hand_back", args=[request.household.pk]),
            button="Undo",
            fields={"batch": signed, "next": here},
        )
    elif not outcome.refused:
        messages.info(request, "That is how it was already. Nothing was changed.")
    for sentence in outcome.refused:
        messages.warning(request, sentence)


@grown_only
@require_POST
def back(request: MemberRequest) -> HttpResponse:
    """Take a whole batch back; its entries come signed from the page that was shown."""
    try:
        home, entries = signing.loads(request.POST.get("batch", ""), salt=SALT)
    except signing.BadSignature:
        raise Http404 from None
    if home != request.household.pk:
        raise Http404
    outcome = handing.take_back(
        household=request.household, entry_ids=entries, actor=request.member, now=timezone.now()
    )
    count = len(outcome.entries)
    if count:
        messages.success(request, f"{count} task{'s are' if count > 1 else ' is'} as before.")
    for sentence in outcome.refused:
        messages.warning(request, sentence)
    return redirect(_next(request))


def _next(request: MemberRequest) -> str:
    after = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(after, {request.get_host()}):
        return after
    return reverse("web:hand_work", args=[request.household.pk])

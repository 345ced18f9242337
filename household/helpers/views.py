"""Lists for helpers from outside: making, choosing tasks, the address, what came of it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.helpers import actions, listing
from household.helpers.forms import ListForm
from household.helpers.models import HelperList
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.secret_address import qr_of
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, organiser_only, own

FORM = ["GET", "HEAD", "POST"]


@organiser_only
@require_GET
def lists(request: MemberRequest) -> HttpResponse:
    lines = listing.list_lines(request.household, timezone.now())
    context = {
        "live": [line for line in lines if line.live],
        "over": [line for line in lines if not line.live],
        "make_url": reverse("helpers:make", args=[request.household.pk]),
        "notes_url": reverse("helpers:notes", args=[request.household.pk]),
    }
    return render_page(request, "helpers/lists.html", context)


@organiser_only
@require_http_methods(FORM)
def make(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    data = request.POST if request.method == "POST" else None
    form = ListForm(data, household=household, today=household.today(now))
    if form.is_bound and form.is_valid():
        values = form.cleaned_data
        made = actions.make_list(
            household=household, fields=values, by=request.member, now=now, key=values["key"]
        )
        return redirect("helpers:tasks", household.pk, made.pk)
    context = {
        "heading": "A list for somebody outside",
        "form": form,
        "save": "Next: choose the tasks",
        "cancel_url": reverse("helpers:lists", args=[household.pk]),
    }
    return render_page(request, "helpers/form.html", context)


@organiser_only
@require_GET
def one(request: MemberRequest, list_id: int) -> HttpResponse:
    return render_page(request, "helpers/list.html", _page(request, _list(request, list_id)))


def _page(request: MemberRequest, row: HelperList) -> dict[str, Any]:
    now, words = timezone.now(), DateWords(request.household.date_order)
    groups = listing.Reader(row, now).groups(home=True)
    return {
        "row": row,
        "days": listing.days_words(row, words),
        "standing": listing.standing(row, request.household, now),
        "opened": listing.opened_words(row, now),
        "done": listing.done_words(groups),
        "groups": groups,
        "notes": row.notes.filter(archived_at=None),
        "live": row.is_live(request.household.today(now)),
        "stopped": row.stopped_at is not None,
        "mark": actions.mark_of(row),
        "urls": _urls(row),
    }


def _urls(row: HelperList) -> dict[str, str]:
    at = [row.household_id, row.pk]
    names = ("one", "change", "tasks", "address", "stop", "start")
    lists_url = reverse("helpers:lists", args=[row.household_id])
    return {"lists": lists_url, **{name: reverse(f"helpers:{name}", args=at) for name in names}}


@organiser_only
@require_http_methods(FORM)
def change(request: MemberRequest, list_id: int) -> HttpResponse:
    row, now = _list(request, list_id), timezone.now()
    data = request.POST if request.method == "POST" else None
    heading = f"Change the list of {row.name}"
    form = ListForm(data, household=request.household, today=request.household.today(now), row=row)
    if form.is_bound and form.is_valid():
        refused = actions.change_list(
            helper_list=row, fields=form.cleaned_data, by=request.member, now=now
        )
        _say(request, "Kept.", refused)
        return redirect("helpers:one", request.household.pk, row.pk)
    context = {
        "heading": heading,
        "form": form,
        "save": "Keep the changes",
        "cancel_url": reverse("helpers:one", args=[request.household.pk, row.pk]),
    }
    return render_page(request, "helpers/form.html", context)


@organiser_only
@never_cache
@require_http_methods(FORM)
def tasks(request: MemberRequest, list_id: int) -> HttpResponse:
    """Choose the tasks. The first time the answer is the address."""
    row, now = _list(request, list_id), timezone.now()
    by = listing.BY_DAY if request.GET.get("by") == listing.BY_DAY else listing.BY_AREA
    sentence = ""
    if request.method == "POST":
        try:
            return _chosen(request, row, by)
        except HouseholdError as error:
            sentence = error.message
    context = {
        "row": row,
        "days": listing.days_words(row, DateWords(request.household.date_order)),
        "picking": listing.picking(row, now, by),
        "by_area": by == listing.BY_AREA,
        "sentence": sentence,
        "save": "Keep these" if row.token_hash else "Make the address",
        "urls": _urls(row),
    }
    status = 422 if sentence else 200
    return render_page(request, "helpers/tasks.html", context, status=status)


def _chosen(request: MemberRequest, row: HelperList, by: str) -> HttpResponse:
    now = timezone.now()
    chosen = {int(pk) for pk in request.POST.getlist("tasks") if pk.isdigit() and len(pk) < 19}
    groups = request.POST.getlist("groups")
    if groups:
        chosen |= listing.picking(row, now, by).ids_of(groups)
    refused = actions.choose_tasks(helper_list=row, task_ids=chosen, by=request.member, now=now)
    if row.token_hash is None and chosen:
        token = actions.new_address(helper_list=row, standing=actions.mark_of(row), now=now)
        return _address_page(request, row, token, refused)
    _say(request, "Kept." if chosen else "The list is empty now.", refused)
    return redirect("helpers:one", request.household.pk, row.pk)


@organiser_only
@never_cache
@require_POST
def address(request: MemberRequest, list_id: int) -> HttpResponse:
    """A new address. It is in this one answer and nowhere else."""
    row = _list(request, list_id)
    try:
        token = actions.new_address(
            helper_list=row, standing=request.POST.get("standing", ""), now=timezone.now()
        )
    except HouseholdError as error:
        return render_error(request, error)
    return _address_page(request, row, token, [])


def _address_page(
    request: MemberRequest, row: HelperList, token: str, refused: list[str]
) -> HttpResponse:
    base = settings.BASE_URL or f"{request.scheme}://{request.get_host()}"
    link = base + reverse("helper_door:list", args=[token])
    context = {
        **_page(request, row),
        "link": link,
        "picture": qr_of(link),
        "local": not link.startswith("https://"),
        "refused": refused,
    }
    return render_page(request, "helpers/address.html", context)


@organiser_only
@require_POST
def stop(request: MemberRequest, list_id: int) -> HttpResponse:
    row = _list(request, list_id)
    actions.stop_list(helper_list=row, by=request.member, now=timezone.now())
    say_with_way_back(
        request,
        f"The list of {row.name} is stopped. What was still to do is anyone’s.",
        url=reverse("helpers:start", args=[request.household.pk, row.pk]),
        button="Let it answer again",
    )
    return redirect("helpers:one", request.household.pk, row.pk)


@organiser_only
@require_POST
def start(request: MemberRequest, list_id: int) -> HttpResponse:
    row = _list(request, list_id)
    refused = actions.start_list(helper_list=row, by=request.member, now=timezone.now())
    live = row.is_live(request.household.today(timezone.now()))
    words = "It answers again." if live else "Its days are over: give it other days."
    _say(request, words, refused)
    return redirect("helpers:one", request.household.pk, row.pk)


def _say(request: MemberRequest, words: str, refused: list[str]) -> None:
    messages.success(request, words)
    for sentence in refused:
        messages.warning(request, sentence)


def _list(request: MemberRequest, list_id: int) -> HelperList:
    rows = HelperList.objects.select_related("household", "outsider")
    return own(rows, request.household, pk=list_id)

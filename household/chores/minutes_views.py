"""Which planned minutes are off, and taking what the ticks say."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from household.chores import queries
from household.chores.estimating import worth_taking
from household.chores.minutes import give_minutes_back, take_minutes
from household.chores.models import Entry
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, organiser_only
from household.people.queries import members


@organiser_only
@require_GET
def minutes(request: MemberRequest) -> HttpResponse:
    household = request.household
    today = household.today(timezone.now())
    off = worth_taking(household, queries.chores(household), members(household), today)
    context = {
        "off": off,
        "take_url": reverse("chores:take_minutes", args=[household.pk]),
        "back_url": reverse("chores:list", args=[household.pk]),
    }
    return render_page(request, "chores/minutes.html", context)


@organiser_only
@require_POST
def take(request: MemberRequest) -> HttpResponse:
    """Take the minutes as the page showed them: "12:25" for chore 12, once or many times."""
    wanted = _pairs(request.POST.getlist("take"))
    try:
        entries = take_minutes(
            household=request.household, wanted=wanted, actor=request.member, now=timezone.now()
        )
    except HouseholdError as error:
        return render_error(request, error)
    if entries:
        say_with_way_back(
            request,
            _taken_words(entries),
            url=reverse("chores:give_minutes_back", args=[request.household.pk]),
            button="Undo",
            fields={
                "entries": ",".join(str(entry.pk) for entry in entries),
                "chore": request.POST.get("chore", ""),
            },
        )
    return _back(request)


def _taken_words(entries: Sequence[Entry]) -> str:
    if len(entries) > 1:
        return f"{len(entries)} chores are planned with the minutes they take."
    entry = entries[0]
    return f"“{entry.chore}” is planned with {entry.after['minutes']} minutes now."


@organiser_only
@require_POST
def give_back(request: MemberRequest) -> HttpResponse:
    numbers = [int(text) for text in request.POST.get("entries", "").split(",") if text.isdigit()]
    found = Entry.objects.filter(household=request.household, pk__in=numbers)
    try:
        taken = give_minutes_back(
            entries=found.select_related("undone_by"), actor=request.member, now=timezone.now()
        )
    except HouseholdError as error:
        return render_error(request, error)
    if taken:
        messages.success(request, "Taken back: the minutes are as they were.")
    return _back(request)


def _pairs(texts: Sequence[str]) -> dict[int, int]:
    pairs = (text.partition(":")[::2] for text in texts)
    return {int(chore): int(count) for chore, count in pairs if chore.isdigit() and count.isdigit()}


def _back(request: MemberRequest) -> HttpResponse:
    """To the chore's page where it was asked for there, else to the list."""
    chore = request.POST.get("chore", "")
    if chore.isdigit():
        return redirect("chores:chore", request.household.pk, int(chore))
    return redirect("chores:minutes", request.household.pk)

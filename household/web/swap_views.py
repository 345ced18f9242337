"""Swaps: offering one from a task's page, and answering it on Today."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from household.chores import queries, swapping
from household.chores.hiding import seen_by
from household.chores.models import State, Swap, Task
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error
from household.people.access import MemberRequest, members_only, own
from household.people.models import Member

AHEAD = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Somebody else's task that one could ask for."""

    id: int
    words: str


@dataclass(frozen=True, slots=True)
class SwapLine:
    """An open offer as Today tells it. `answers` are (words, address), the first the main one.

    `short` is for one's own, which waits for somebody else and need not take the day's room.
    """

    sentence: str
    answers: tuple[tuple[str, str], ...]
    short: str = ""


def wanted(member: Member, today: date) -> list[tuple[str, list[Wanted]]]:
    """The others' open tasks of the next two weeks, under their names."""
    tasks = (
        Task.objects.filter(
            household=member.household,
            state=State.OPEN,
            opens__lte=today + AHEAD,
            member__archived_at=None,
        )
        .exclude(member=None)
        .exclude(member=member)
        .select_related("member")
        .order_by("member_id", "closes", "id")
    )
    tasks = seen_by(tasks, member)
    words = DateWords(member.household.date_order)
    found: dict[str, list[Wanted]] = {}
    for task in tasks:
        assert task.member is not None
        line = f"{task.name} ({words.near(task.day or task.closes, today)}, {task.minutes} min)"
        found.setdefault(task.member.name, []).append(Wanted(task.pk, line))
    return list(found.items())


def swap_lines(member: Member, today: date) -> list[SwapLine]:
    """What the member is asked, and what they have asked and may take back."""
    words = DateWords(member.household.date_order)
    return [_line(swap, member, words, today) for swap in swapping.swaps_of(member)]


def _line(swap: Swap, member: Member, words: DateWords, today: date) -> SwapLine:
    def say(task: Task) -> str:
        when = words.near(task.day or task.closes, today)
        return f"“{task.name}” ({when}, {task.minutes} min)"

    offered, asked = say(swap.offered), say(swap.wanted)
    if swap.to_id == member.pk:
        return SwapLine(
            f"{swap.by.name} would take your {asked} if you take {offered}.",
            (("Agree", _url("agree", swap)), ("No, thanks", _url("decline", swap))),
        )
    return SwapLine(
        f"You asked {swap.to.name} to swap: your {offered} for {asked}.",
        (("Take that back", _url("withdraw", swap)),),
        short=f"You asked {swap.to.name} to swap",
    )


def _url(does: str, swap: Swap) -> str:
    return reverse(f"web:swap_{does}", args=[swap.household_id, swap.pk])


@members_only
@require_POST
def offer(request: MemberRequest) -> HttpResponse:
    offered = _task(request, request.POST.get("offered", ""))
    asked = _task(request, request.POST.get("wanted", ""))
    try:
        swap = swapping.offer(offered=offered, wanted=asked, by=request.member, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"{swap.to.name} is asked to swap.")
    return redirect("web:today", request.household.pk)


def _task(request: MemberRequest, number: str) -> Task:
    known = int(number) if number.isascii() and number.isdigit() and len(number) < 19 else 0
    seen = seen_by(queries.with_chore(request.household), request.member)
    return own(seen, request.household, pk=known)


def _answering(
    act: Callable[[Swap, Member, datetime], str],
) -> Callable[[MemberRequest, int], HttpResponse]:
    """A POST that answers an offer and goes back to Today."""

    def view(request: MemberRequest, swap_id: int) -> HttpResponse:
        swap = own(Swap.objects.select_related("household"), request.household, pk=swap_id)
        try:
            messages.success(request, act(swap, request.member, timezone.now()))
        except HouseholdError as error:
            return render_error(request, error)
        return redirect("web:today", request.household.pk)

    return require_POST(view)


@members_only
@_answering
def agree(swap: Swap, member: Member, now: datetime) -> str:
    swap = swapping.agree(swap=swap, member=member, now=now)
    return f"“{swap.offered.name}” is yours now, “{swap.wanted.name}” is {swap.by.name}’s."


@members_only
@_answering
def decline(swap: Swap, member: Member, now: datetime) -> str:
    swap = swapping.decline(swap=swap, member=member, now=now)
    return f"“{swap.wanted.name}” stays yours."


@members_only
@_answering
def withdraw(swap: Swap, member: Member, now: datetime) -> str:
    swap = swapping.withdraw(swap=swap, member=member, now=now)
    return f"“{swap.offered.name}” stays yours."

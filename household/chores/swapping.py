"""Swaps: one member offers one of their tasks for one of another's, and the other agrees.

Hard limits are checked when it is offered, and again when it is agreed, since both may be days
apart. An offer lapses by itself when either task is closed or goes to somebody else.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import F, Q, QuerySet

from household.chores.changes import change, touch
from household.chores.eligibility import task_refusal
from household.chores.models import Did, State, Swap, SwapState, Task
from household.kit.errors import Conflict, Refused
from household.kit.writing import writes
from household.people.models import Household, Member


def open_swaps(household: Household) -> QuerySet[Swap]:
    """Offers that still can be agreed: both tasks open and with whom they were."""
    return Swap.objects.select_related(
        "offered", "offered__chore", "wanted", "wanted__chore", "by", "to"
    ).filter(
        household=household,
        state=SwapState.OFFERED,
        offered__state=State.OPEN,
        wanted__state=State.OPEN,
        offered__member=F("by"),
        wanted__member=F("to"),
    )


def swaps_of(member: Member) -> list[Swap]:
    """What somebody is asked and has asked, oldest first. Nothing is read if there is nothing."""
    if not member.swaps:
        return []
    return list(open_swaps(member.household).filter(Q(to=member) | Q(by=member)).order_by("id"))


@writes
def offer(*, offered: Task, wanted: Task, by: Member, now: datetime) -> Swap:
    """Offering the same again gives the offer that stands."""
    if offered.member_id != by.pk:
        raise Refused(f"“{offered.name}” is not yours to swap.")
    if wanted.member is None or wanted.member_id == by.pk:
        raise Refused(f"“{wanted.name}” is nobody else’s. Choose a task that somebody else has.")
    _check(offered, wanted, by=by, to=wanted.member)
    standing = open_swaps(by.household).filter(offered=offered, wanted=wanted).first()
    if standing is not None:
        return standing
    swap = Swap.objects.create(
        household=by.household, offered=offered, wanted=wanted, by=by, to=wanted.member, at=now
    )
    _tell([by, wanted.member])
    return swap


@writes
def agree(*, swap: Swap, member: Member, now: datetime) -> Swap:
    """Each task goes to the other; only the one who was asked can say so."""
    swap = _standing(swap, to=member)
    _check(swap.offered, swap.wanted, by=swap.by, to=swap.to)
    for task, to in ((swap.offered, swap.to), (swap.wanted, swap.by)):
        change(task, actor=member, did=Did.HANDED, now=now, about=to, member_id=to.pk)
    return _answer(swap, SwapState.AGREED, now)


@writes
def decline(*, swap: Swap, member: Member, now: datetime) -> Swap:
    return _answer(_standing(swap, to=member), SwapState.DECLINED, now)


@writes
def withdraw(*, swap: Swap, member: Member, now: datetime) -> Swap:
    return _answer(_standing(swap, by=member), SwapState.WITHDRAWN, now)


def _standing(swap: Swap, **who: Member) -> Swap:
    """The offer as it is now, read where nobody else can change it."""
    found = open_swaps(swap.household).filter(pk=swap.pk, **who).first()
    if found is None:
        raise Conflict("That offer no longer stands.")
    return found


def _check(offered: Task, wanted: Task, *, by: Member, to: Member) -> None:
    for task in (offered, wanted):
        if task.state != State.OPEN:
            raise Refused(f"“{task.name}” is {task.get_state_display().lower()} already.")
    words = task_refusal(offered, to) or task_refusal(wanted, by)
    if words:
        raise Refused(words)


def _answer(swap: Swap, state: SwapState, now: datetime) -> Swap:
    swap.state, swap.answered_at = state, now
    swap.save(update_fields=["state", "answered_at"])
    _tell([swap.by, swap.to])
    return swap


def _tell(members: Iterable[Member]) -> None:
    """Count anew what waits for them, and let their open pages know."""
    for member in members:
        count = open_swaps(member.household).filter(Q(to=member) | Q(by=member)).count()
        Member.objects.filter(pk=member.pk).update(swaps=count)
        touch(member.household_id)

"""What follows for tasks when people, their days away or the household's habits change."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db.models import Q, QuerySet

from household.areas.actions import give_up_areas
from household.areas.models import Area
from household.calc.recurrence.repeat import Shift
from household.chores.actions import change_chore
from household.chores.eligibility import refusal, task_refusal
from household.chores.horizon import horizon_of
from household.chores.keeping import hand_keeping
from household.chores.making import rewrite_future
from household.chores.models import Chore, State, Task, Who
from household.chores.ticking import assign
from household.kit.writing import writes
from household.people.models import Household, Member

# Habits that dates hang on, and the chores that feel a change of them.
HOLIDAYS = frozenset({"country", "subdivision"})
WEEK = frozenset({"first_weekday"})


@writes
def people_changed(*, household: Household, now: datetime) -> None:
    """Somebody came, went away or came back: turns and what waits for people move."""
    _anew(household, _standing(household).filter(_hangs_on_people()), now)


@writes
def habits_changed(*, household: Household, changed: frozenset[str], now: datetime) -> None:
    """Weeks that begin on another day move every chore; other holidays those that heed them."""
    if changed & WEEK:
        _anew(household, _standing(household), now)
    elif changed & HOLIDAYS:
        _anew(household, _standing(household).exclude(on_holiday=Shift.KEEP), now)


@writes
def owner_changed(*, area: Area, now: datetime) -> None:
    """The tasks to come go to whoever owns the area now."""
    _anew(area.household, _standing(area.household).filter(area=area, who=Who.OWNER), now)


@writes
def limits_changed(*, member: Member, actor: Member, now: datetime) -> int:
    """What a member may no longer do, for age or skill, goes to the pool; returns how much."""
    standing = _standing(member.household)
    for chore in standing.filter(who=Who.FIXED, fixed=member):
        if refusal(chore, member):
            _change(chore, actor, now, who=Who.ANYONE, fixed=None)
    people_changed(household=member.household, now=now)
    tasks = [task for task in _open_tasks(member) if task_refusal(task, member)]
    return _to_pool(tasks, actor, now)


@writes
def member_left(*, member: Member, actor: Member, now: datetime) -> int:
    """What somebody did, owned and kept in mind is free for others; returns their open tasks.

    To be called once the member is put away.
    """
    household = member.household
    standing = _standing(household)
    owned = Q(who=Who.OWNER, area__owner=member)
    moved = list(standing.filter(owned | _hangs_on_people()).values_list("pk", flat=True))
    open_before = _open_tasks(member).count()
    give_up_areas(member=member)
    kept = list(standing.filter(keeper=member))
    hand_keeping(household=household, chores=kept, to=None, actor=actor, now=now)
    _leave_chores(standing, member, actor, now)
    _anew(household, standing.filter(pk__in=moved), now)
    _to_pool(_open_tasks(member), actor, now)
    return open_before


def _standing(household: Household) -> QuerySet[Chore]:
    return Chore.objects.select_related("household", "area").filter(
        household=household, archived_at=None
    )


def _hangs_on_people() -> Q:
    return Q(who=Who.TURNS) | ~Q(on_away=Shift.KEEP)


def _anew(household: Household, chores: Iterable[Chore], now: datetime) -> None:
    today: date = household.today(now)
    rewrite_future(
        household=household, chores=chores, today=today, horizon=horizon_of(today), now=now
    )


def _open_tasks(member: Member) -> QuerySet[Task]:
    return Task.objects.select_related("chore", "household").filter(
        household=member.household, member=member, state=State.OPEN
    )


def _to_pool(tasks: Iterable[Task], actor: Member, now: datetime) -> int:
    count = 0
    for task in tasks:
        assign(task=task, to=None, actor=actor, now=now)
        count += 1
    return count


def _leave_chores(standing: QuerySet[Chore], member: Member, actor: Member, now: datetime) -> None:
    """What only they did anyone may do; in a list of those who may, they stand no more."""
    for chore in standing:
        fields: dict[str, Any] = {}
        if chore.fixed_id == member.pk:
            fields = {"who": Who.ANYONE if chore.who == Who.FIXED else chore.who, "fixed": None}
        if member.pk in chore.may:
            fields["may"] = [each for each in chore.may if each != member.pk]
        if fields:
            _change(chore, actor, now, **fields)


def _change(chore: Chore, actor: Member, now: datetime, **fields: Any) -> None:
    today = chore.household.today(now)
    change_chore(chore=chore, actor=actor, now=now, horizon=horizon_of(today), **fields)

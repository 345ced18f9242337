"""What is overdue, oldest first: why, and where it fits best."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from household.calc import free_time
from household.calc.settling import Fit, Late, Room, first_day, fits, lighter_minutes
from household.chores.eligibility import may_do, own_refusal
from household.chores.hiding import seen_by
from household.chores.models import State, Task
from household.chores.settling import may_drop, may_lighten
from household.kit.dates import DateWords
from household.kit.words import from_outside
from household.people.models import Household, Member, Role
from household.people.queries import absences_of, members_with_absences

# The coming days among which a fit is looked for; the first is today.
DAYS = 7
# How far ahead the end of an absence is looked for.
LONGEST_LOOK = 60


@dataclass(frozen=True, slots=True)
class Row:
    """One overdue task, with words and addresses ready; an address is "" where it is no choice."""

    id: int
    days: int
    name: str
    url: str
    about: str
    why: str
    member: str
    shape: str
    hue: str
    best: str
    fit: str  # "task:member:day", what a touch on `best` sends
    move_day: str
    settle_url: str
    move_url: str
    lighter_url: str
    drop_url: str


@dataclass(frozen=True, slots=True)
class Plan:
    """Open tasks that are past their days, who lives there, and where each task fits."""

    today: date
    tasks: tuple[Task, ...]
    members: dict[int, Member]
    rooms: dict[int, Room]
    fits: dict[int, Fit]


def late_tasks(household: Household, today: date, viewer: Member | None) -> QuerySet[Task]:
    late = Task.objects.filter(household=household, state=State.OPEN, closes__lt=today)
    return (
        seen_by(late, viewer)
        .select_related("chore", "area", "member", "household")
        .order_by("closes", "id")
    )


def plan(household: Household, today: date, viewer: Member | None = None) -> Plan:
    """Five queries, whatever is overdue; as `viewer` may see it, or else as everybody may."""
    tasks = tuple(late_tasks(household, today, viewer))
    members = list(members_with_absences(household))
    rooms = rooms_of(household, members, today)
    may = _may(tasks, members)
    late = [
        Late(task.pk, task.minutes, may[task.pk], task.member_id)
        for task in tasks
        if not task.helper
    ]
    return Plan(
        today=today,
        tasks=tasks,
        members={member.pk: member for member in members},
        rooms={room.id: room for room in rooms},
        fits=fits(late, rooms),
    )


def rooms_of(household: Household, members: Iterable[Member], today: date) -> list[Room]:
    """Each member's minutes left on the coming days: free, less what is planned and done."""
    days = [today + timedelta(days=step) for step in range(DAYS)]
    taken = _planned(household, days)
    for member, minutes in _done(household, today):
        taken[member, today] += minutes
    return [
        Room(
            member.pk,
            tuple(
                free_time.free_minutes(day, member.free_minutes, absences_of(member))
                - taken[member.pk, day]
                for day in days
            ),
        )
        for member in members
    ]


def lighter_day(plan: Plan, task: Task) -> date:
    """The first day on which its person has room for the lighter task; today where none has."""
    room = plan.rooms.get(task.member_id or 0)
    step = first_day(lighter_minutes(task.minutes), room.left) if room else None
    return plan.today + timedelta(days=step or 0)


def rows(household: Household, plan: Plan, words: DateWords, *, acts: bool) -> list[Row]:
    """`acts`: whether the reader may settle them."""
    return [_row(household, plan, task, words, acts) for task in plan.tasks]


def _row(household: Household, plan: Plan, task: Task, words: DateWords, acts: bool) -> Row:
    member, fit = task.member, plan.fits.get(task.pk)
    importance = task.chore.importance if task.chore else None
    day = plan.today + timedelta(days=fit.day if fit else 1)
    who = plan.members[fit.member].name if fit else ""
    return Row(
        id=task.pk,
        days=(plan.today - task.closes).days,
        name=task.name,
        url=reverse("web:task", args=[household.pk, task.pk]),
        about=_about(task),
        why=_why(task, plan, words),
        member=member.name if member else "",
        shape=member.shape if member else "",
        hue=member.hue if member else "",
        best=f"{who}, {words.near(day, plan.today)}" if fit else "",
        fit=f"{task.pk}:{fit.member}:{day.isoformat()}" if fit else "",
        move_day=day.isoformat(),
        settle_url=_url("settle", household) if acts and fit else "",
        move_url=_url("move", household, task.pk) if acts else "",
        lighter_url=(
            _url("lighter", household, task.pk)
            if acts and may_lighten(task.level, importance)
            else ""
        ),
        drop_url=_url("drop", household, task.pk) if acts and may_drop(importance) else "",
    )


def _about(task: Task) -> str:
    parts = [task.area.name] if task.area else []
    return " · ".join([*parts, task.get_level_display().lower(), f"{task.minutes} min"])


def _why(task: Task, plan: Plan, words: DateWords) -> str:
    since = f"since {words.near(task.closes, plan.today)}"
    if task.helper:
        return f"{since}, on the list of {from_outside(task.helper)}"
    if task.member is None:
        return f"{since}, nobody’s yet"
    member = plan.members.get(task.member.pk)
    if member is None:
        return f"{since}, {task.member.name} lives here no longer"
    absences = absences_of(member)
    if not free_time.is_away(plan.today, absences):
        return since
    days = (plan.today + timedelta(days=step) for step in range(1, LONGEST_LOOK))
    back = next((day for day in days if not free_time.is_away(day, absences)), None)
    until = f" until {words.near(back, plan.today)}" if back else ""
    return f"{since}, {member.name} is away{until}"


def _may(tasks: Iterable[Task], members: Sequence[Member]) -> dict[int, frozenset[int]]:
    """Who may be asked, by task: never above a limit, and nobody who agreed to do nothing.

    A one-off has no limits written down, so it is offered to grown-ups and to whoever has it.
    """
    asked = [member for member in members if member.weight]
    grown = frozenset(member.pk for member in asked if member.role != Role.CHILD)
    by_chore: dict[int, frozenset[int]] = {}
    found = {}
    for task in tasks:
        if task.chore is None:
            may = frozenset(each.pk for each in asked if not own_refusal(task.limits, each))
            found[task.pk] = (grown & may) | {task.member_id or 0}
            continue
        if task.chore.pk not in by_chore:
            by_chore[task.chore.pk] = frozenset(
                member.pk for member in asked if may_do(task.chore, member)
            )
        found[task.pk] = by_chore[task.chore.pk]
    return found


def _planned(household: Household, days: Sequence[date]) -> defaultdict[tuple[int, date], int]:
    """Minutes already planned, by member and day; an any-day task counts on its last day."""
    rows = (
        Task.objects.filter(
            household=household, state=State.OPEN, member__isnull=False, opens__lte=days[-1]
        )
        .annotate(on=Coalesce("day", "closes"))
        .filter(on__range=(days[0], days[-1]), closes__gte=days[0])
        .order_by()
        .values_list("member_id", "on")
        .annotate(total=Sum("minutes"))
    )
    taken: defaultdict[tuple[int, date], int] = defaultdict(int)
    for member, day, minutes in rows:
        taken[member, day] += minutes
    return taken


def _done(household: Household, today: date) -> Iterable[tuple[int, int]]:
    rows = (
        Task.objects.filter(household=household, done_on=today, done_by__isnull=False)
        .order_by()
        .values_list("done_by_id")
        .annotate(total=Sum(Coalesce("minutes_taken", "minutes")))
    )
    return [(member, minutes) for member, minutes in rows]


def _url(name: str, household: Household, *ids: int) -> str:
    return reverse(f"overview:{name}", args=[household.pk, *ids])

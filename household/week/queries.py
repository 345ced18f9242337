"""Reading a week: its plan, its tasks, who has how much time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import Q

from household.calc import free_time
from household.calc.busy import free_after
from household.calc.fitting import at_strength
from household.calc.history import week_of
from household.chores.hiding import is_hidden
from household.chores.models import State, Task
from household.feeds.queries import busy_by_day
from household.people.models import Household, Member
from household.people.queries import absences_of, members_with_absences
from household.week.models import WeekPlan

# With no more days than these left after this week, an any-day task is planned in it.
FEW_DAYS = timedelta(days=3)


@dataclass(frozen=True)
class Week:
    """Everything about one week that planning needs; `days` are its seven dates."""

    household: Household
    plan: WeekPlan
    today: date
    days: tuple[date, ...]
    members: tuple[Member, ...]
    free: dict[int, tuple[int, ...]]  # member id -> minutes free on each day
    away: dict[int, frozenset[date]]
    tasks: tuple[Task, ...]  # open ones that this week must or may hold
    spoken_for: tuple[Task, ...]  # open ones that somebody from outside does
    closed: tuple[Task, ...]  # done in this week

    @property
    def first(self) -> date:
        return self.days[0]

    @property
    def last(self) -> date:
        return self.days[-1]

    def must_be_placed(self, task: Task) -> bool:
        """Whether its days end in this week, or so early in the next that it would be pressed.

        What may wait longer is only offered.
        """
        return task.closes - self.last <= FEW_DAYS or task.day in self.days

    def allowed_days(self, task: Task) -> tuple[date, ...]:
        """Days of this week, from today on, that the task's window holds; late ones may go on any.

        A task whose days are over is planned as soon as the week allows.
        """
        coming = [day for day in self.days if day >= self.today]
        inside = tuple(day for day in coming if task.opens <= day <= task.closes)
        return inside or tuple(coming)


def as_seen_by(week: Week, member: Member) -> Week:
    """The week without what is kept from this member: for showing it, not for planning."""
    return replace(
        week,
        tasks=tuple(task for task in week.tasks if not is_hidden(task.limits, member.pk)),
        closed=tuple(task for task in week.closed if not is_hidden(task.limits, member.pk)),
    )


def plan_of(household: Household, first: date) -> WeekPlan:
    """The week's plan, or a new one that is not saved yet."""
    found = WeekPlan.objects.filter(household=household, starts=first).first()
    return found or WeekPlan(household=household, starts=first)


def read_week(
    household: Household, day: date, today: date, *, plan: WeekPlan | None = None
) -> Week:
    """The household's week that holds `day`; `plan` stands in for the one that is kept."""
    first, last = week_of(day, household.first_weekday)
    days = tuple(first + timedelta(days=n) for n in range(7))
    members = tuple(members_with_absences(household))
    plan = plan or plan_of(household, first)
    away = {m.pk: free_time.away_days(absences_of(m), first, last) for m in members}
    busy = busy_by_day(household, first, last)
    open_ones = _open_tasks(household, first, last, today)
    free = {
        m.pk: tuple(
            at_strength(
                free_after(
                    free_time.free_minutes(day, m.free_minutes, absences_of(m)),
                    busy.get(m.pk, {}).get(day, 0),
                ),
                plan.strength_of(m.pk),
            )
            for day in days
        )
        for m in members
    }
    return Week(
        household=household,
        plan=plan,
        today=today,
        days=days,
        members=members,
        free=free,
        away=away,
        tasks=tuple(task for task in open_ones if not task.helper),
        spoken_for=tuple(task for task in open_ones if task.helper),
        closed=tuple(_closed_tasks(household, first, last)),
    )


def _open_tasks(household: Household, first: date, last: date, today: date) -> Sequence[Task]:
    inside = Q(opens__lte=last, closes__gte=first)
    if first <= today <= last:
        inside |= Q(closes__lt=first)
    return list(
        Task.objects.filter(inside, household=household, state=State.OPEN)
        .select_related("chore", "area", "member", "chore__area")
        .order_by("closes", "id")
    )


def _closed_tasks(household: Household, first: date, last: date) -> Sequence[Task]:
    return list(
        Task.objects.filter(household=household, state=State.DONE, done_on__range=(first, last))
        .select_related("area", "done_by")
        .order_by("done_on", "id")
    )

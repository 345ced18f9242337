"""Reading chores and tasks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from django.db import connection
from django.db.models import Min, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils.safestring import SafeString

from household.areas.models import Area
from household.calc import limits
from household.chores.eligibility import own_refusal
from household.chores.models import Chore, Entry, State, Task, Who
from household.chores.rows import COLUMNS, OWN_COLUMNS, RowMaker, TaskRow
from household.kit.by_hand import SelectModels, SelectValues
from household.people.models import Household, Member

Value = dict[str, Any]
NOBODY = (None, None, None)


@dataclass(frozen=True, slots=True)
class Section:
    key: str
    title: str
    note: str
    rows: list[TaskRow]

    @property
    def html(self) -> SafeString:
        """All its rows as Today shows them."""
        return SafeString("\n".join([row.html for row in self.rows]))


def day_tasks(household: Household, today: date) -> QuerySet[Task]:
    """Open tasks whose days have begun, and what was done today."""
    return Task.objects.filter(
        Q(state=State.OPEN, opens__lte=today) | Q(done_on=today), household=household
    )


def _source(column: str) -> tuple[str, Any]:
    """The alias and field behind a name like chore__hazards."""
    table, joined, name = column.rpartition("__")
    model = {"": Task, "chore": Chore, "area": Area}[table]
    return (table if joined else "task"), model._meta.get_field(name.removesuffix("_id"))


# What day_tasks finds, as value rows. Told apart so that each half has its index: else SQLite
# goes through all that the household ever did.
_OF_DAY = SelectValues(
    {column: _source(column) for column in OWN_COLUMNS},
    "FROM household_task task LEFT JOIN household_chore chore ON chore.id = task.chore_id "
    "LEFT JOIN household_area area ON area.id = task.area_id WHERE task.id IN ("
    f"SELECT id FROM household_task WHERE household_id = %s AND state = '{State.OPEN.value}' "
    "AND opens <= %s "
    "UNION ALL SELECT id FROM household_task WHERE household_id = %s AND done_on = %s"
    ") ORDER BY task.closes, task.time, task.id",
)


def day_values(household: Household, today: date, people: Iterable[Member]) -> list[Value]:
    """Value rows (by COLUMNS) of everybody's day. `people` are joined here: that costs least."""
    marks = {person.pk: _marks(person) for person in people}
    day = connection.ops.adapt_datefield_value(today)
    values: list[Value] = _OF_DAY.read(household.pk, day, household.pk, day)
    for value in values:
        for who in ("member", "done_by"):
            found = marks.get(value[f"{who}_id"], NOBODY)
            value[f"{who}__name"], value[f"{who}__shape"], value[f"{who}__hue"] = found
    return values


def _marks(person: Member) -> tuple[str, str, str]:
    return person.name, person.shape, person.hue


def is_of(value: Value, member: Member) -> bool:
    """Whether it stands on this member's Today: theirs, done by them, or free to be taken."""
    if member.pk in (value["member_id"], value["done_by_id"]):
        return True
    return value["member_id"] is None and not value["helper"] and value["state"] == State.OPEN


def is_due(value: Value, today: date) -> bool:
    """Whether an open task is to be done by the end of today; any-day tasks can wait."""
    return bool(value["state"] == State.OPEN and _is_today(value, today))


def sections(
    values: Iterable[Value], member: Member, maker: RowMaker, by_words: str
) -> list[Section]:
    """What matters now, in order: overdue, today, any day, and the pool that may be taken."""
    today = maker.today
    late, now, any_day, pool = [], [], [], []
    for value in values:
        if value["state"] != State.OPEN:
            now.append(value)
        elif value["member_id"] is None:
            if _may_take(value, member):
                pool.append(value)
        elif value["closes"] < today:
            late.append(value)
        elif _is_today(value, today):
            now.append(value)
        elif value["day"] is None:
            any_day.append(value)
    now.sort(key=lambda value: (value["time"] is None, str(value["time"] or "")))
    found = [
        Section("overdue", "Overdue", "", maker.rows(late)),
        Section("today", "Today", "", maker.rows(now)),
        Section("any", "Any day", by_words, maker.rows(any_day)),
        Section("pool", "For anyone", "nobody’s yet", maker.rows(pool)),
    ]
    return [section for section in found if section.rows]


def _is_today(value: Value, today: date) -> bool:
    day, closes = value["day"], value["closes"]
    return bool((day is not None and day <= today) or closes <= today)


def _may_take(value: Value, member: Member) -> bool:
    if value["chore_id"] is None:
        return not own_refusal(value["limits"], member)
    if value["chore__may"] and member.pk not in value["chore__may"]:
        return False
    return (
        limits.may_do(
            limits.AgeBand(member.age_band),
            member.skills,
            name=member.name,
            min_age=limits.AgeBand(value["chore__min_age"]),
            hazards=[limits.Hazard(hazard) for hazard in value["chore__hazards"]],
            needs_skills=[value["chore__needs_skill"]] if value["chore__needs_skill"] else [],
        )
        is None
    )


def minutes_due(household: Household, member: Member, today: date) -> int:
    """Minutes of a member's open tasks that are to be done by the end of today."""
    due = Q(closes__lte=today) | Q(day__lte=today)
    tasks = Task.objects.filter(
        due, household=household, member=member, state=State.OPEN, opens__lte=today
    )
    total: int = tasks.order_by().aggregate(total=Coalesce(Sum("minutes"), 0))["total"]
    return total


def one_value(task_id: int) -> Value:
    """The value row of one task, for drawing its row again."""
    value: Value = Task.objects.values(*COLUMNS).get(pk=task_id)
    return value


_FOR_CHANGE = SelectModels(
    "FROM household_task t LEFT JOIN household_chore c ON c.id = t.chore_id "
    "LEFT JOIN household_area a ON a.id = t.area_id WHERE t.id = %s AND t.household_id = %s",
    t=Task,
    c=Chore,
    a=Area,
)


def task_for_change(household: Household, task_id: int) -> Task | None:
    """A task of this home with its chore and area: what it takes to tick it and draw its row."""
    for task, chore, area in _FOR_CHANGE.read(task_id, household.pk):
        task.household, task.chore, task.area = household, chore, area
        if chore is not None:
            chore.household = household
        return cast(Task, task)
    return None


def with_chore(household: Household) -> QuerySet[Task]:
    """Tasks ready for an action: with the chore and the household they belong to."""
    return Task.objects.select_related("chore", "household", "member", "area").filter(
        household=household
    )


def chores(household: Household, *, archived: bool = False) -> QuerySet[Chore]:
    """Standing jobs by area; the archived ones instead when asked for."""
    return (
        Chore.objects.filter(household=household, archived_at__isnull=not archived)
        .select_related("area", "area__owner", "keeper", "fixed", "next_member", "household")
        .order_by("area__position", "area_id", "name", "id")
    )


def task_entries(task: Task) -> QuerySet[Entry]:
    return (
        Entry.objects.filter(task=task)
        .select_related("actor", "about", "device")
        .order_by("-at", "-id")
    )


def chore_entries(chore: Chore) -> QuerySet[Entry]:
    """What happened to a chore and its tasks, newest first."""
    return (
        Entry.objects.filter(chore=chore)
        .select_related("actor", "about", "device")
        .order_by("-at", "-id")
    )


def filtered(
    household: Household,
    *,
    search: str = "",
    area: Area | None = None,
    person: Member | None = None,
    show: str = "",
) -> QuerySet[Chore]:
    """Chores as the list's filter asks: by words, area, and who does or keeps them."""
    found = chores(household, archived=show == "archived")
    if search:
        found = found.filter(Q(name__icontains=search) | Q(area__name__icontains=search))
    if area is not None:
        found = found.filter(area=area)
    if person is None:
        return found
    # Turns are a list of ids inside the row, which not every database can search: read them here.
    mine = [
        pk
        for pk, who, may in found.order_by().values_list("pk", "who", "may")
        if who != Who.FIXED and person.pk in may
    ]
    owned = Q(who=Who.OWNER, area__owner=person)
    return found.filter(Q(keeper=person) | Q(who=Who.FIXED, fixed=person) | owned | Q(pk__in=mine))


def next_tasks(household: Household, today: date) -> dict[int, date]:
    """The day by which each chore's first open task is to be done, by chore id."""
    rows = (
        Task.objects.filter(household=household, state=State.OPEN, chore__isnull=False)
        .order_by()
        .values_list("chore_id")
        .annotate(first=Min("closes"))
    )
    return {chore: first for chore, first in rows if chore is not None}


def chore_tasks(chore: Chore, today: date) -> list[Task]:
    """A chore's open tasks and its last closed ones, for its own page."""
    tasks = chore.tasks.select_related("member", "done_by")
    coming = list(tasks.filter(state=State.OPEN).order_by("closes")[:6])
    past = list(tasks.exclude(state=State.OPEN).order_by("-closes", "-id")[:6])
    return [*reversed(past), *coming]

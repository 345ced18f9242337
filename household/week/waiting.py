"""What of a week has no place yet: equal tasks as one line, and whose they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from household.calc.names import DAYS
from household.chores.models import Task
from household.chores.rows import LEVELS, task_caution
from household.kit.dates import DateWords
from household.week.cells import Row
from household.week.links import page_address, task_address
from household.week.places import where_in
from household.week.queries import Week


@dataclass(frozen=True, slots=True)
class Loose:
    """A task of this week that has no day or nobody yet."""

    id: int
    name: str
    minutes: int
    words: str
    url: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Alike:
    """Tasks of one name, which a list shows as one line that opens."""

    name: str
    tasks: list[Loose]

    @property
    def minutes(self) -> int:
        return sum(task.minutes for task in self.tasks)

    @property
    def opens(self) -> bool:
        return any(task.chosen for task in self.tasks)


def alike(tasks: Iterable[Loose]) -> list[Alike]:
    """Tasks of the same name together, in the order in which the names first come."""
    found: dict[str, Alike] = {}
    for task in tasks:
        found.setdefault(task.name, Alike(task.name, [])).tasks.append(task)
    return list(found.values())


def loose_of(week: Week, task: Task, chosen: Task | None, words: DateWords, day: date) -> Loose:
    return Loose(
        id=task.pk,
        name=task.name,
        minutes=task.minutes,
        words=loose_words(week, task, words),
        url=page_address(week, task=task.pk, day=day),
        chosen=chosen is not None and chosen.pk == task.pk,
    )


def loose_words(week: Week, task: Task, words: DateWords) -> str:
    """When it is to be done, and whose it is where that is known."""
    who = next((m.name for m in week.members if m.pk == task.member_id), "")
    if task.closes < week.today:
        when = f"Late since {words.near(task.closes, week.today)}"
    else:
        when = due_words(week, task, words)
    if not who and task.opens == task.closes:
        who = "nobody’s yet"
    return f"{when}, {who}" if who else when


def due_words(week: Week, task: Task, words: DateWords) -> str:
    """Monday, or any day by Sunday."""
    if task.opens == task.closes:
        return DAYS[task.closes.weekday()]
    if task.closes > week.last:
        return f"May wait until {words.short(task.closes)}"
    return f"Any day by {DAYS[task.closes.weekday()]}"


def chosen_task(
    week: Week, task: Task, rows: list[Row], words: DateWords, shown: date
) -> dict[str, Any]:
    """The task that is being placed: its caution, where it fits, and what may be done with it."""
    fitting = {cell.day for row in rows for cell in row.cells if cell.fits}
    first, _ = task_caution(task)
    where = where_in(week, task)
    day = where.day if where else shown
    coming = [each for each in week.days if each >= week.today]
    return {
        "task": task,
        "level": LEVELS.get(task.level, ""),
        "words": _stands(where.member.name, where.day) if where else loose_words(week, task, words),
        "caution": first,
        "fits": _fits_words(len(fitting)),
        "fitting": fitting,
        "where": where,
        "day": day.isoformat(),
        "put_url": task_address(week, "put", task),
        "release_url": task_address(week, "release", task),
        "why_url": task_address(week, "why", task),
        "days": [(each.isoformat(), f"{DAYS[each.weekday()][:3]} {each.day}") for each in coming],
        "close_url": page_address(week, day=shown),
    }


def _stands(name: str, day: date) -> str:
    return f"{name}, {DAYS[day.weekday()]}"


def _fits_words(days: int) -> str:
    if not days:
        return "No day has room for it. It may be put anywhere all the same."
    return f"Fits on {days} day{'' if days == 1 else 's'}."

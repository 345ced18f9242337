"""The week as its page shows it: who has room for what, and when."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.urls import reverse

from household.chores.eligibility import task_refusal
from household.chores.models import Task
from household.chores.rows import LEVELS, caution
from household.kit.dates import DAYS, DateWords
from household.people.models import Member
from household.week.models import Preset
from household.week.places import Where, where_in
from household.week.queries import Week


@dataclass(frozen=True, slots=True)
class Block:
    """One task in a cell."""

    id: int
    name: str
    minutes: int
    done: bool
    late: bool
    held: bool
    drafted: bool
    url: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One person's day, with the minutes used and free."""

    member_id: int
    day: str
    label: str
    used: int
    free: int
    why_none: str
    blocks: list[Block]
    fits: bool
    past: bool

    @property
    def room_words(self) -> str:
        return room_words(self.used, self.free)

    @property
    def percent(self) -> str:
        if not self.free:
            return "100%" if self.used else "0%"
        return f"{min(100, round(100 * self.used / self.free))}%"


@dataclass(frozen=True, slots=True)
class Row:
    member: Member
    cells: list[Cell]

    @property
    def used(self) -> int:
        return sum(cell.used for cell in self.cells)

    @property
    def free(self) -> int:
        return sum(cell.free for cell in self.cells)

    @property
    def room_words(self) -> str:
        return room_words(self.used, self.free)


@dataclass(frozen=True, slots=True)
class Loose:
    """A task of this week that has no day or nobody yet."""

    id: int
    name: str
    minutes: int
    words: str
    url: str
    chosen: bool


def room_words(used: int, free: int) -> str:
    """What is left of the free minutes: "25", "Full", "10 over"."""
    if used == free and free:
        return "Full"
    return str(free - used) if used <= free else f"{used - free} over"


def week_page(week: Week, *, chosen: Task | None, day: date | None) -> dict[str, Any]:
    """The context of the page; with a `chosen` task, the cells it fits in are marked."""
    words = DateWords(week.household.date_order)
    placed = {task.pk: where_in(week, task) for task in week.tasks}
    rows = [_row(week, member, placed, chosen, words) for member in week.members]
    loose = [task for task in week.tasks if placed[task.pk] is None]
    must = [task for task in loose if week.must_be_placed(task)]
    may = [task for task in loose if not week.must_be_placed(task)]
    base = address(week, "week")
    shown = day if day in week.days else (week.today if week.today in week.days else week.first)
    return {
        "week": week,
        "plan": week.plan,
        "title": words.span(week.first, week.last),
        "standing": standing(week, words),
        "days": [_day(week, each, words, shown, base) for each in week.days],
        "shown": week.days.index(shown),
        "rows": rows,
        "loose": [_loose(week, task, chosen, words) for task in must],
        "loose_minutes": sum(task.minutes for task in must),
        "may_wait": [_loose(week, task, chosen, words) for task in may],
        "chosen": _chosen(week, chosen, rows, words) if chosen else None,
        "has_draft": bool(week.plan.draft),
        "undo_words": week.plan.steps[-1]["words"] if week.plan.steps else "",
        "presets": Preset.choices,
        "urls": {
            name: address(week, f"week_{name}")
            for name in ("share", "settle", "undo", "notes", "proof", "fit", "lighten")
        },
        "week_url": base,
        "earlier_url": address(week, "week", week.first - timedelta(days=7)),
        "month_url": reverse(
            "week:month", args=[week.household.pk, week.first.year, week.first.month]
        ),
        "eased": len(week.plan.fitted),
        "have_back_url": address(week, "week_have_back"),
        "strength": week.plan.strength,
        "later_url": address(week, "week", week.first + timedelta(days=7)),
    }


def address(week: Week, name: str, first: date | None = None) -> str:
    start = (first or week.first).isoformat()
    return reverse(f"week:{name}", args=[week.household.pk, start])


def standing(week: Week, words: DateWords) -> str:
    """Draft or settled, in words."""
    plan = week.plan
    if plan.draft:
        return "Draft. Who has room for what, and when?"
    if plan.settled_at is None:
        return "Not planned yet. Who has room for what, and when?"
    when = words.moment(plan.settled_at, week.household.zone, week.today)
    by = f" by {plan.settled_by.name}" if plan.settled_by else ""
    return f"Settled{by}, {when}."


def _day(week: Week, day: date, words: DateWords, shown: date, base: str) -> dict[str, Any]:
    return {
        "iso": day.isoformat(),
        "name": DAYS[day.weekday()],
        "label": f"{DAYS[day.weekday()][:3]} {day.day}",
        "note": week.plan.day_notes.get(day.isoformat(), ""),
        "is_today": day == week.today,
        "shown": day == shown,
        "url": f"{base}?day={day.isoformat()}",
    }


def _row(
    week: Week,
    member: Member,
    placed: dict[int, Where | None],
    chosen: Task | None,
    words: DateWords,
) -> Row:
    blocks: dict[date, list[Block]] = defaultdict(list)
    for task in week.closed:
        if task.done_by_id == member.pk and task.done_on is not None:
            blocks[task.done_on].append(_block(week, task, None))
    for task in week.tasks:
        where = placed[task.pk]
        if where is not None and where.member.pk == member.pk:
            blocks[where.day].append(_block(week, task, where))
    may = chosen is not None and not task_refusal(chosen, member)
    return Row(
        member,
        [
            _cell(week, member, n, day, blocks[day], chosen if may else None)
            for n, day in enumerate(week.days)
        ],
    )


def _cell(
    week: Week, member: Member, n: int, day: date, blocks: list[Block], chosen: Task | None
) -> Cell:
    used, free = sum(block.minutes for block in blocks), week.free[member.pk][n]
    away = day in week.away[member.pk]
    why = "Away" if away else ("" if free or blocks else "No time free")
    moved = chosen is not None and any(block.id == chosen.pk for block in blocks)
    fits = (
        chosen is not None
        and not moved
        and not away
        and day in week.allowed_days(chosen)
        and used + chosen.minutes <= free
    )
    return Cell(
        member_id=member.pk,
        day=day.isoformat(),
        label=f"{member.name}, {DAYS[day.weekday()]}",
        used=used,
        free=free,
        why_none=why,
        blocks=blocks,
        fits=fits,
        past=day < week.today,
    )


def _block(week: Week, task: Task, where: Where | None) -> Block:
    done = where is None
    return Block(
        id=task.pk,
        name=task.name,
        minutes=(task.minutes_taken or task.minutes) if done else task.minutes,
        done=done,
        late=not done and task.closes < week.today,
        held=bool(where and where.held),
        drafted=bool(where and where.drafted),
        url=_choose_url(week, task),
    )


def _choose_url(week: Week, task: Task) -> str:
    return f"{address(week, 'week')}?task={task.pk}#chosen"


def _loose(week: Week, task: Task, chosen: Task | None, words: DateWords) -> Loose:
    return Loose(
        id=task.pk,
        name=task.name,
        minutes=task.minutes,
        words=loose_words(week, task, words),
        url=_choose_url(week, task),
        chosen=chosen is not None and chosen.pk == task.pk,
    )


def loose_words(week: Week, task: Task, words: DateWords) -> str:
    if task.closes < week.today:
        return f"Late since {words.near(task.closes, week.today)}"
    if task.opens == task.closes:
        return f"{due_words(week, task, words)}, nobody’s yet"
    return due_words(week, task, words)


def due_words(week: Week, task: Task, words: DateWords) -> str:
    """Monday, or any day by Sunday."""
    if task.opens == task.closes:
        return DAYS[task.closes.weekday()]
    if task.closes > week.last:
        return f"May wait until {words.short(task.closes)}"
    return f"Any day by {DAYS[task.closes.weekday()]}"


def _chosen(week: Week, task: Task, rows: list[Row], words: DateWords) -> dict[str, Any]:
    fitting = {cell.day for row in rows for cell in row.cells if cell.fits}
    first, _ = caution(
        task.chore.caution if task.chore else "",
        tuple(task.chore.hazards) if task.chore else (),
    )
    at = [week.household.pk, week.first.isoformat(), task.pk]
    return {
        "task": task,
        "id": task.pk,
        "level": LEVELS.get(task.level, ""),
        "words": loose_words(week, task, words),
        "caution": first,
        "fits": f"Fits on {len(fitting)} day{'' if len(fitting) == 1 else 's'}.",
        "where": where_in(week, task),
        "put_url": reverse("week:put", args=at),
        "release_url": reverse("week:release", args=at),
        "why_url": reverse("week:why", args=at),
        "days": [
            (day.isoformat(), f"{DAYS[day.weekday()]} {day.day}")
            for day in week.days
            if day >= week.today
        ],
        "close_url": address(week, "week"),
    }

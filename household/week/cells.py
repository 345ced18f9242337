"""The table of a week: a row for each person, a cell for each of their days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from household.calc.names import DAYS
from household.chores.eligibility import task_refusal
from household.chores.models import Task
from household.people.models import Member
from household.week.links import page_address, task_address
from household.week.places import Where
from household.week.queries import Week

MINUS = "−"


@dataclass(frozen=True, slots=True)
class Block:
    """One task in a cell."""

    id: int
    name: str
    minutes: int
    done: bool
    late: bool
    held: bool
    chosen: bool
    choose_url: str
    why_url: str


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
    def over(self) -> int:
        return max(0, self.used - self.free)

    @property
    def percent(self) -> str:
        if not self.free:
            return "100%" if self.used else "0%"
        return f"{min(100, round(100 * self.used / self.free))}%"


@dataclass(frozen=True, slots=True)
class Row:
    """One person's week. Its room counts the days that are not over yet."""

    member: Member
    cells: list[Cell]

    @property
    def counted(self) -> list[Cell]:
        return [cell for cell in self.cells if not cell.past] or self.cells

    @property
    def used(self) -> int:
        return sum(cell.used for cell in self.counted)

    @property
    def free(self) -> int:
        return sum(cell.free for cell in self.counted)

    @property
    def over(self) -> int:
        return max(0, self.used - self.free)

    @property
    def room_words(self) -> str:
        return room_words(self.used, self.free)


def room_words(used: int, free: int) -> str:
    """What is left of the free minutes: "25", "Full", "−10" for ten minutes too many."""
    if used == free and free:
        return "Full"
    return str(free - used) if used <= free else f"{MINUS}{used - free}"


def rows_of(week: Week, placed: Mapping[int, Where | None], chosen: Task | None) -> list[Row]:
    return [_row(week, member, placed, chosen) for member in week.members]


def _row(
    week: Week, member: Member, placed: Mapping[int, Where | None], chosen: Task | None
) -> Row:
    blocks: dict[date, list[Block]] = defaultdict(list)
    for task in week.closed:
        if task.done_by_id == member.pk and task.done_on is not None:
            blocks[task.done_on].append(_block(week, task, None, chosen))
    for task in week.tasks:
        where = placed[task.pk]
        if where is not None and where.member.pk == member.pk:
            blocks[where.day].append(_block(week, task, where, chosen))
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
    fits = (
        chosen is not None
        and not any(block.id == chosen.pk for block in blocks)
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


def _block(week: Week, task: Task, where: Where | None, chosen: Task | None) -> Block:
    done = where is None
    return Block(
        id=task.pk,
        name=task.name,
        minutes=(task.minutes_taken or task.minutes) if done else task.minutes,
        done=done,
        late=not done and task.closes < week.today,
        held=bool(where and where.held),
        chosen=chosen is not None and chosen.pk == task.pk,
        choose_url=page_address(week, task=task.pk, day=where.day if where else None),
        why_url=task_address(week, "why", task),
    )

"""Tasks as events: those that are written, and beyond them those that chores will bring.

The states of all tasks are read with one light query, and the words only of those whose event
is not kept (`texts`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from django.db.models import CharField, Q, QuerySet
from django.db.models.functions import Cast
from django.urls import reverse

from household.areas.models import CareLevel
from household.calc.feed_events import EventFacts
from household.chores.hiding import seen_by
from household.chores.models import Chore, State, Task, Who
from household.chores.projecting import Projected, hangs_on_people, projected
from household.chores.rows import caution, row_caution
from household.chores.staging import Calendar, calendar_of
from household.feeds.shown import Piece, Shown
from household.feeds.wording import Wording
from household.kit.dates import DateWords
from household.kit.words import NARROW, duration, from_outside

# A task can be done this long before its day: it is not written any earlier.
EARLIEST_TICK = timedelta(days=130)
CHUNK = 500
LEVELS = {CareLevel.CLEAN.value: "clean", CareLevel.DEEP.value: "deep clean"}
COLUMNS = (
    "id",
    "chore_id",
    "occurrence",
    "name",
    "minutes",
    "level",
    "opens",
    "closes",
    "day",
    "time",
    "state",
    "done_at",
    "sequence",
    "changed_at",
    "member__name",
    "done_by__name",
    "helper",
    "area__name",
    "limits",
    "chore__caution",
    "chore__hazards",
    "chore__changed_at",
)


def task_pieces(shown: Shown) -> Iterator[Piece]:
    """Every task of the feed's days: written ones first, then projected ones."""
    yield from written_pieces(shown)
    yield from _projected(shown)


# Written tasks -------------------------------------------------------------------------------


def written_pieces(shown: Shown) -> Iterator[Piece]:
    """The tasks that are written down, as to-dos show them."""
    states = list(_states(shown))
    reading = _Reading(shown, [state[0] for state in states])
    for state in states:
        yield Piece(("task", state[0]), state[1:], reading.facts_of(state[0]))


def _states(shown: Shown) -> Iterator[tuple[Any, ...]]:
    """(id, and all that may change what the event says) of each task in the feed."""
    tasks = _tasks(shown)
    columns = ("id", "sequence", "changed", "chore_changed", "area__name", "member__name")
    open_ones = tasks.filter(state=State.OPEN, opens__lte=shown.last)
    yield from open_ones.values_list(*columns)
    if shown.include_done:
        done = tasks.filter(state=State.DONE, done_on__gte=shown.first - EARLIEST_TICK)
        yield from done.values_list(*columns, "done_by__name")


def _tasks(shown: Shown) -> QuerySet[Task]:
    days = Q(day__range=(shown.first, shown.last))
    days |= Q(day=None, closes__range=(shown.first, shown.last))
    tasks = Task.objects.filter(days, household=shown.household)
    # A calendar about several people is read by several: nothing in it is kept from anybody.
    tasks = seen_by(tasks, shown.owner.pk if shown.member_id is not None else None)
    if shown.member_id is not None:
        tasks = seen_by(tasks, shown.member_id)
        tasks = tasks.filter(Q(member=shown.member_id) | Q(done_by=shown.member_id))
    if shown.area_id is not None:
        tasks = tasks.filter(area=shown.area_id)
    # As text: moments are compared here, not counted with, and reading them costs most.
    return tasks.order_by("id").annotate(
        changed=Cast("changed_at", CharField()),
        chore_changed=Cast("chore__changed_at", CharField()),
    )


class _Reading:
    """Reads the words of tasks when they are asked for, which goes in the order of the ids.

    Each time it reads twice as many of those that follow: one after a tick, all after a start.
    """

    def __init__(self, shown: Shown, ids: Sequence[int]) -> None:
        self._ids = ids
        self._many = 1
        self._rows: dict[int, dict[str, Any]] = {}
        self._teller = _Teller(shown)

    def facts_of(self, task_id: int) -> Callable[[], EventFacts]:
        return lambda: self._teller.task(self._row(task_id))

    def _row(self, task_id: int) -> dict[str, Any]:
        if task_id not in self._rows:
            at = self._ids.index(task_id)
            rows = Task.objects.filter(pk__in=self._ids[at : at + self._many]).order_by()
            self._rows = {row["id"]: row for row in rows.values(*COLUMNS)}
            self._many = min(2 * self._many, CHUNK)
        return self._rows[task_id]


# Projected tasks -----------------------------------------------------------------------------

# What a chore will bring, by chore: the state of the chore it was worked out from, and the tasks.
_coming: dict[int, tuple[tuple[Any, ...], list[Projected]]] = {}
_MOST_CHORES = 20_000


def _projected(shown: Shown) -> Iterator[Piece]:
    chores = Chore.objects.filter(
        household=shown.household, archived_at=None, next_due__isnull=False
    ).order_by("id")
    if shown.area_id is not None:
        chores = chores.filter(area=shown.area_id)
    states = chores.annotate(changed=Cast("changed_at", CharField())).values_list(
        "id", "changed", "next_due", "next_member_id", "area__owner_id", "area__name"
    )
    reading = _Chores(shown)
    names = _Names(shown)
    for pk, changed, *rest, area in states:
        for coming in reading.coming(pk, (changed, *rest, shown.last)):
            if shown.member_id is not None and coming.member_id != shown.member_id:
                continue
            who = names.of(coming.member_id)
            version = (changed, area, who, coming.closes)
            yield Piece(
                ("chore", pk, coming.occurrence), version, reading.facts_of(pk, coming, who)
            )


class _Chores:
    """Reads chores, and what their dates hang on, when one of them must be worked out."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown
        self._teller = _Teller(shown)
        self._row_of: dict[int, Chore] = {}

    def coming(self, pk: int, state: tuple[Any, ...]) -> list[Projected]:
        known = _coming.get(pk)
        if known is None or known[0] != state:
            if len(_coming) > _MOST_CHORES:
                _coming.clear()
            _coming[pk] = known = (state, self._work_out(pk))
        return known[1]

    def _work_out(self, pk: int) -> list[Projected]:
        chore = self._chore(pk)
        calendar = self._calendar if hangs_on_people(chore) else self._bare
        first = self._shown.first
        return [
            each for each in projected(chore, calendar, self._shown.last) if each.closes >= first
        ]

    def facts_of(self, pk: int, coming: Projected, who: str) -> Callable[[], EventFacts]:
        return lambda: self._teller.coming(self._chore(pk), coming, who)

    def _chore(self, pk: int) -> Chore:
        if not self._row_of:
            every = Chore.objects.filter(household=self._shown.household, archived_at=None)
            self._row_of = every.select_related("area").in_bulk()
        return self._row_of[pk]

    @cached_property
    def _calendar(self) -> Calendar:
        return calendar_of(self._shown.household, self._shown.today)

    @cached_property
    def _bare(self) -> Calendar:
        return Calendar(self._shown.household.first_weekday)


class _Names:
    def __init__(self, shown: Shown) -> None:
        self._names = dict(shown.household.members.values_list("id", "name"))

    def of(self, member_id: int | None) -> str:
        return self._names.get(member_id, "") if member_id is not None else ""


# Words ---------------------------------------------------------------------------------------


class _Teller:
    """Puts a task into an event's words."""

    def __init__(self, shown: Shown) -> None:
        self._shown = shown
        self._wording = Wording(shown, "a task")
        self._words = DateWords(shown.household.date_order)
        pk = shown.household.pk
        self._task_url = shown.base + reverse("web:task", args=[pk, 0]).removesuffix("0/")
        self._chore_url = shown.base + reverse("chores:chore", args=[pk, 0]).removesuffix("0/")
        self._today_url = shown.base + reverse("web:today", args=[pk])

    def task(self, row: dict[str, Any]) -> EventFacts:
        done = row["state"] == State.DONE
        who = (row["done_by__name"] if done else "") or row["member__name"] or ""
        if not who and row["helper"]:
            who = from_outside(row["helper"])
        chore_changed: datetime | None = row["chore__changed_at"]
        changed_at = max(row["changed_at"], chore_changed or row["changed_at"])
        name = f"c{row['chore_id']}-{row['occurrence']:%Y%m%d}" if row["occurrence"] else ""
        day = row["day"] or row["closes"]
        lines = [
            _facts_line(row["minutes"], row["area__name"] or "", row["level"]),
            _who_line(who, done),
            "" if row["day"] or done else self._window(row["opens"], row["closes"]),
            _joined(row_caution(row)),
        ]
        return self._wording.event(
            name or f"t{row['id']}",
            changed_at,
            row["sequence"],
            title=row["name"],
            who=who,
            day=day,
            at=row["time"],
            minutes=row["minutes"],
            lines=lines,
            category=row["area__name"] or "",
            url=f"{self._task_url}{row['id']}/",
            done=done,
            done_at=row["done_at"],
        )

    def coming(self, chore: Chore, coming: Projected, who: str) -> EventFacts:
        known = chore.who in (Who.FIXED, Who.OWNER, Who.TURNS) and who
        spans = coming.opens != coming.closes
        lines = [
            _facts_line(chore.minutes, chore.area.name, chore.level),
            _who_line(who, done=False) if known or chore.who == Who.ANYONE else "",
            self._window(coming.opens, coming.closes) if spans else "",
            "Worked out ahead from how it repeats: it may still change.",
            _joined(caution(chore.caution, tuple(chore.hazards))),
        ]
        return self._wording.event(
            f"c{chore.pk}-{coming.occurrence:%Y%m%d}",
            chore.changed_at,
            0,
            title=chore.name,
            who=who,
            day=coming.closes,
            at=chore.time,
            minutes=chore.minutes,
            lines=lines,
            category=chore.area.name,
            url=f"{self._chore_url}{chore.pk}/" if self._shown.links_chores else self._today_url,
        )

    def _window(self, opens: date, closes: date) -> str:
        return f"Any day: {self._words.span(opens, closes)}." if opens != closes else ""


def _facts_line(minutes: int, area: str, level: str) -> str:
    amount = duration(minutes).replace(NARROW, " ")
    return ", ".join(part for part in (amount, area, LEVELS.get(level, "")) if part)


def _who_line(who: str, done: bool) -> str:
    if done:
        return f"Done by {who}." if who else ""
    return f"For {who}." if who else "For anyone."


def _joined(words: Iterable[str]) -> str:
    return " ".join(part for part in words if part)

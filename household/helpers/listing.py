"""Lists and their tasks as pages show them: words and addresses ready."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.urls import reverse

from household.areas.models import CareLevel, Treatment
from household.chores.eligibility import helper_refusal
from household.chores.models import State, Task
from household.chores.rows import task_caution
from household.helpers import queries
from household.helpers.doing import is_theirs
from household.helpers.models import HelperList, ListedTask
from household.kit.dates import DateWords
from household.kit.words import duration
from household.people.models import Household

TREATMENTS = {
    Treatment.SANITISE.value: "then sanitise",
    Treatment.DISINFECT.value: "then disinfect",
}


@dataclass(frozen=True, slots=True)
class Said:
    when: str
    words: str


@dataclass(frozen=True, slots=True)
class HelperRow:
    """A task as its helper sees it, and as the organiser sees what became of it."""

    id: int
    name: str
    area: str
    care: str  # how thoroughly
    minutes: int
    due: str
    caution_first: str
    caution_rest: str
    how: str
    done: bool
    theirs: bool  # ticked by the helper, who may take that back
    done_words: str
    minutes_taken: int | None
    comments: tuple[Said, ...]
    member: str = ""  # who at home did it, for organisers' eyes


@dataclass(frozen=True, slots=True)
class DayGroup:
    title: str
    rows: list[HelperRow]


@dataclass(frozen=True, slots=True)
class ListLine:
    name: str
    days: str
    standing: str
    counts: str
    url: str
    live: bool


def care_words(task: Task) -> str:
    """Tidy, Clean, then sanitise: how thoroughly."""
    level = CareLevel(task.level).label
    then = TREATMENTS.get(task.chore.treatment, "") if task.chore else ""
    return f"{level}, {then}" if then else str(level)


def days_words(helper_list: HelperList, words: DateWords) -> str:
    if helper_list.starts == helper_list.ends:
        return words.day(helper_list.starts)
    return words.span(helper_list.starts, helper_list.ends)


class Reader:
    """Reads one list's tasks and comments, in as many queries for one as for fifty."""

    def __init__(self, helper_list: HelperList, now: datetime) -> None:
        self._list, self._now = helper_list, now
        self._household: Household = helper_list.household
        self._today = self._household.today(now)
        self._words = DateWords(self._household.date_order)

    def groups(self, *, home: bool = False) -> list[DayGroup]:
        """Rows by day, what may be done on any of the days last. `home`: for organisers' eyes."""
        said: dict[int, list[Said]] = defaultdict(list)
        for each in queries.comments(self._list):
            said[each.task_id].append(Said(self._moment(each.at), each.words))
        by_day: dict[date | None, list[HelperRow]] = defaultdict(list)
        for listed in queries.listed(self._list):
            day = self._day_of(listed.task)
            by_day[day].append(self._row(listed, tuple(said[listed.task_id]), home))
        days = sorted(by_day, key=lambda day: (day is None, day or date.min))
        return [DayGroup(self._title(day), by_day[day]) for day in days]

    def _row(self, listed: ListedTask, said: tuple[Said, ...], home: bool) -> HelperRow:
        task = listed.task
        first, rest = task_caution(task)
        done = task.state == State.DONE
        how = task.chore.how_to if task.chore and self._list.show_how else ""
        at = f" at {self._moment(task.done_at)}" if task.done_at else ""
        theirs = is_theirs(task)
        return HelperRow(
            id=task.pk,
            name=task.name,
            area=task.area.name if task.area else "",
            care=care_words(task),
            minutes=task.minutes_taken or task.minutes if done else task.minutes,
            due=f"by {task.time:%H:%M}" if task.time else "",
            caution_first=first,
            caution_rest=rest,
            how=how,
            done=done,
            theirs=theirs,
            done_words=f"Done{at}" if theirs or home else "Done already",
            minutes_taken=task.minutes_taken,
            comments=said,
            member=task.done_by.name if home and task.done_by else "",
        )

    def _day_of(self, task: Task) -> date | None:
        """The day it stands on, within the list's days; none while any of them will do."""
        if task.day is None and task.opens != task.closes:
            return None
        return max(task.day or task.closes, self._list.starts)

    def _title(self, day: date | None) -> str:
        if day is None:
            one = self._list.starts == self._list.ends
            return "At any time" if one else "On any of these days"
        if day == self._today:
            return f"Today, {self._words.short(day)}"
        return self._words.day(day)

    def _moment(self, at: datetime) -> str:
        return self._words.moment(at, self._household.zone, self._today)


def list_lines(household: Household, now: datetime) -> list[ListLine]:
    return [
        ListLine(
            name=each.name,
            days=days_words(each, DateWords(household.date_order)),
            standing=standing(each, household, now),
            counts=_counts(each),
            url=reverse("helpers:one", args=[household.pk, each.pk]),
            live=each.is_live(household.today(now)),
        )
        for each in queries.lists(household)
    ]


def _counts(each: Any) -> str:
    parts = [f"{each.open_count} to do"] if each.open_count else []
    if each.done_count:
        parts.append(f"{each.done_count} done")
    return ", ".join(parts) or "no tasks"


def standing(helper_list: HelperList, household: Household, now: datetime) -> str:
    """Whether its address answers, and until when."""
    words, today = DateWords(household.date_order), household.today(now)
    if helper_list.stopped_at is not None:
        return "Stopped: its address answers no more"
    if helper_list.ends < today:
        return f"Over since {words.near(helper_list.ends, today)}"
    if helper_list.token_hash is None:
        return "It has no address yet"
    return f"Its address answers until {words.near(helper_list.ends, today)} is over"


def opened_words(helper_list: HelperList, now: datetime) -> str:
    household = helper_list.household
    if helper_list.opened_at is None:
        return "Not opened yet" if helper_list.token_hash else ""
    words, today = DateWords(household.date_order), household.today(now)
    return f"Last opened: {words.moment(helper_list.opened_at, household.zone, today)}"


def done_words(groups: Iterable[DayGroup]) -> str:
    """How much of the list is done, and how long the helper needed."""
    rows = [row for group in groups for row in group.rows]
    theirs = [row for row in rows if row.theirs]
    done = f"{sum(row.done for row in rows)} of {len(rows)} done"
    if not theirs:
        return done
    return f"{done}, {duration(sum(row.minutes for row in theirs))} by the helper"


@dataclass(frozen=True, slots=True)
class Pick:
    """A task that may be put on the list, and who has it now."""

    id: int
    name: str
    minutes: int
    sub: str
    caution_first: str
    caution_rest: str
    member: str
    shape: str
    hue: str
    picked: bool


@dataclass(frozen=True, slots=True)
class PickGroup:
    key: str
    title: str
    rows: list[Pick]


@dataclass(frozen=True, slots=True)
class Picking:
    """What the page of choosing shows: tasks in groups, and those for no helper, with why."""

    groups: list[PickGroup]
    refused: list[tuple[str, str]]

    def ids_of(self, keys: Iterable[str]) -> set[int]:
        """The tasks of whole groups."""
        wanted = set(keys)
        return {row.id for group in self.groups if group.key in wanted for row in group.rows}


BY_AREA, BY_DAY = "area", "day"


def picking(
    helper_list: HelperList, now: datetime, by: str, sent: set[int] | None = None
) -> Picking:
    """`sent`: what is picked in a form that comes back; else what is on the list."""
    household = helper_list.household
    today, words = household.today(now), DateWords(household.date_order)
    groups: dict[str, PickGroup] = {}
    refused = []
    for task in queries.candidates(helper_list, today).select_related("area", "listed"):
        why = helper_refusal(task, name=helper_list.name, age_band=helper_list.age_band)
        if why:
            refused.append((task.name, why))
            continue
        key, title = _group_of(task, by, helper_list, today, words)
        group = groups.setdefault(key, PickGroup(key, title, []))
        picked = bool(task.helper) if sent is None else task.pk in sent
        group.rows.append(_pick(task, by, picked, today, words))
    return Picking(sorted(groups.values(), key=lambda group: group.key), refused)


def _group_of(
    task: Task, by: str, helper_list: HelperList, today: date, words: DateWords
) -> tuple[str, str]:
    if by == BY_AREA:
        if task.area is None:
            return "area-9999-0", "The whole home"
        return f"area-{task.area.position:04}-{task.area.pk}", task.area.name
    if task.day is None and task.opens != task.closes:
        return "day-any", "Any day"
    day = max(task.day or task.closes, helper_list.starts)
    near = words.near(day, today)
    return f"day-{day.isoformat()}", f"{near[0].upper()}{near[1:]}, {words.short(day)}"


def _when(task: Task, today: date, words: DateWords) -> str:
    near = words.near(task.closes, today)
    if task.closes < today:
        return f"late since {near}"
    return near if task.opens == task.closes else f"by {near}"


def _pick(task: Task, by: str, picked: bool, today: date, words: DateWords) -> Pick:
    first, rest = task_caution(task)
    when = _when(task, today, words)
    where = task.area.name if task.area else ""
    parts = [where if by == BY_DAY else when, care_words(task)]
    if by == BY_DAY and (task.opens != task.closes or task.closes < today):
        parts.append(when)
    return Pick(
        id=task.pk,
        name=task.name,
        minutes=task.minutes,
        sub=", ".join(part for part in parts if part),
        caution_first=first,
        caution_rest=rest,
        member=task.member.name if task.member else "",
        shape=task.member.shape if task.member else "",
        hue=task.member.hue if task.member else "",
        picked=picked,
    )

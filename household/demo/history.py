"""Twelve weeks of what happened, made by chance from a seed: the same day gives the same history.

Some did their share and some did not, some tasks were left out with a reason, a few are overdue.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import TYPE_CHECKING, Any

from household.calc import turns
from household.calc.recurrence.repeat import Due, Kind, due_between, due_next
from household.chores.eligibility import eligible
from household.chores.models import Chore, Did, Entry, Missed, State, Task, Who
from household.chores.staging import STAGED, Calendar, calendar_of, restage
from household.people.models import Member

if TYPE_CHECKING:
    from household.demo.load import Loaded

NOT_DONE = "Its days were over"


@dataclass
class Story:
    """Everything the telling needs, in one place."""

    made: Loaded
    history: dict[str, Any]
    reasons: list[str]
    rng: Random
    calendar: Calendar
    first: date
    names: dict[int, str]  # member id -> key of the fixture

    def uneven(self, chore_key: str) -> dict[str, Any] | None:
        return next((each for each in self.history["uneven"] if each["chore"] == chore_key), None)


def write_history(made: Loaded, data: dict[str, Any], now: datetime) -> None:
    """Write the tasks and entries of the weeks before today, and stage what comes next."""
    history = data["history"]
    story = Story(
        made=made,
        history=history,
        reasons=data["skip_reasons"],
        rng=Random(history["seed"]),
        calendar=calendar_of(made.household, made.today),
        first=made.today - timedelta(weeks=history["weeks"]),
        names={member.pk: key for key, member in made.members.items()},
    )
    overdue = {each["chore"]: each["days"] for each in data["overdue"]}
    tasks: list[Task] = []
    for key, chore in made.chores.items():
        tasks += _tasks_of(story, key, chore, overdue.get(key))
    tasks += [_one_off(story, each) for each in data["one_offs"]]
    Task.objects.bulk_create(tasks)
    Entry.objects.bulk_create(entry for task in tasks for entry in _entries(task, now))
    _stage_all(story)


def _tasks_of(story: Story, key: str, chore: Chore, late: int | None) -> list[Task]:
    """One chore's past; where it is overdue, its last task is still open."""
    last = story.made.today - timedelta(days=late if late is not None else 1)
    order = eligible(chore, story.calendar.members)
    turn: int | None = None
    tasks = []
    for due in _dues(story, chore, last):
        member = _whose(chore, order, turn, story, due)
        turn = member.pk if member and chore.who == Who.TURNS else turn
        task = _task(chore, due, member)
        if late is None or due.closes < last:
            _decide(story, key, task, order)
        tasks.append(task)
    if late is not None and chore.repeat == Kind.AFTER_DONE:
        tasks = _with_overdue(chore, tasks, last, order)
    done = [task.done_on for task in tasks if task.done_on]
    chore.last_done_on = max(done) if done else chore.last_done_on
    chore.save(update_fields=["last_done_on"])
    return tasks


def _with_overdue(chore: Chore, tasks: list[Task], day: date, order: list[Member]) -> list[Task]:
    """End a chain of "after it was last done" with a task that is open since `day`."""
    past = [task for task in tasks if task.done_on and task.done_on < day and task.closes < day]
    due = Due(occurrence=day, opens=day, closes=day)
    return [*past, _task(chore, due, order[0] if order and chore.who == Who.TURNS else chore.fixed)]


def _dues(story: Story, chore: Chore, last: date) -> Iterator[Due]:
    """The windows that closed from the first day of the history to `last`."""
    repeat = chore.as_repeat(story.calendar.week_start)
    if chore.repeat != Kind.AFTER_DONE:
        for due in due_between(
            repeat, first=story.first, last=last, holidays=story.calendar.holidays
        ):
            if due.closes <= last:
                yield due
        return
    done: date | None = None
    due_one = due_next(repeat, after=None)
    while due_one is not None and due_one.closes <= last:
        if due_one.closes >= story.first:
            yield due_one
        # Done a little late each time, as such chores are; the day after is its new start.
        done = min(due_one.closes + timedelta(days=story.rng.choice((0, 0, 1, 2))), last)
        chore.last_done_on = done
        due_one = due_next(repeat, after=due_one.occurrence, last_done=done)


def _whose(
    chore: Chore, order: list[Member], turn: int | None, story: Story, due: Due
) -> Member | None:
    if chore.who == Who.FIXED:
        return chore.fixed
    if chore.who == Who.OWNER:
        return chore.area.owner
    if chore.who == Who.ANYONE or not order:
        return None
    away = {m.pk for m in order if story.calendar.presence.is_away(m.pk, due.closes)}
    chosen = turns.next_in_turn([m.pk for m in order], turn, away)
    return next((m for m in order if m.pk == chosen), None)


def _task(chore: Chore, due: Due, member: Member | None) -> Task:
    return Task(
        household_id=chore.household_id,
        chore=chore,
        occurrence=due.occurrence,
        name=chore.name,
        area_id=chore.area_id,
        kind=chore.kind,
        level=chore.level,
        minutes=chore.minutes,
        opens=due.opens,
        closes=due.closes,
        time=chore.time,
        day=due.opens if due.opens == due.closes else None,
        member=member,
    )


def _decide(story: Story, key: str, task: Task, order: list[Member]) -> None:
    """Whether it was done and by whom, left out with a reason, or let go."""
    rng, chore = story.rng, task.chore
    assert chore is not None
    doer = task.member or (rng.choice(order) if order else None)
    if doer is None or story.calendar.presence.is_away(doer.pk, task.closes):
        present = [m for m in order if not story.calendar.presence.is_away(m.pk, task.closes)]
        doer = rng.choice(present) if present else None
    doing = story.history["doing"]
    if doer is not None and rng.random() < doing[story.names[doer.pk]]["reliability"]:
        uneven = story.uneven(key)
        if uneven and rng.random() < uneven["share"]:
            doer = story.made.members[uneven["member"]]
        _done(story, task, doer, late=0)
    elif chore.missed == Missed.CARRY and doer is not None:
        _done(story, task, doer, late=rng.choice((1, 1, 2, 3)))
    elif rng.random() < story.history["skipped_of_missed"]:
        task.state, task.reason = State.SKIPPED, rng.choice(story.reasons)
        task.sequence = 1
    else:
        task.state, task.reason, task.sequence = State.LAPSED, NOT_DONE, 1


def _done(story: Story, task: Task, doer: Member, *, late: int) -> None:
    rng, chore, today = story.rng, task.chore, story.made.today
    span = (task.closes - task.opens).days
    day = task.opens + timedelta(days=rng.randint(0, span)) if not late else task.closes
    day = min(day + timedelta(days=late), today - timedelta(days=1))
    clock = task.time or time(rng.choice((7, 8, 12, 16, 17, 18, 19)), rng.randrange(0, 60, 5))
    pace = story.history["doing"][story.names[doer.pk]]["pace"]
    minutes = max(1, round(task.minutes * rng.gauss(pace, 0.12)))
    task.state, task.sequence = State.DONE, 1
    task.done_by, task.done_on = doer, day
    task.done_at = datetime.combine(day, clock, story.made.household.zone)
    task.minutes_taken = minutes if rng.random() < 0.6 else None
    if chore is not None and chore.keeper_id:
        task.kept_by_id, task.kept_minutes = chore.keeper_id, chore.keep_minutes


def _one_off(story: Story, each: dict[str, Any]) -> Task:
    day = story.made.today + timedelta(days=each["day"])
    task = Task(
        household=story.made.household,
        name=each["name"],
        area=story.made.areas[each["area"]] if each["area"] else None,
        minutes=each["minutes"],
        opens=day,
        closes=day,
        day=day,
        member=story.made.members.get(each["member"] or ""),
    )
    if each["day"] < -2 and task.member:
        _done(story, task, task.member, late=0)
    return task


def _entries(task: Task, now: datetime) -> Iterator[Entry]:
    told = {
        State.DONE: Did.TICKED,
        State.SKIPPED: Did.SKIPPED,
        State.LAPSED: Did.LAPSED,
    }.get(State(task.state))
    if told is None:
        return
    closed = datetime.combine(task.closes, time(21), task.household.zone)
    yield Entry(
        household_id=task.household_id,
        task=task,
        chore_id=task.chore_id,
        area_id=task.area_id,
        actor=task.done_by if task.state == State.DONE else None,
        did=told,
        at=min(task.done_at or closed, now),
        before={"state": State.OPEN, "reason": ""},
        after={"state": task.state, "reason": task.reason},
    )


def _stage_all(story: Story) -> None:
    chores = list(story.made.chores.values())
    for chore in chores:
        restage(chore, story.calendar, story.made.today)
    Chore.objects.bulk_update(chores, STAGED)

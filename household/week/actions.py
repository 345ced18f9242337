"""Planning a week: sharing it out, putting tasks by hand, undoing, settling."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from household.chores.changes import touch
from household.chores.eligibility import task_refusal
from household.chores.hiding import open_name
from household.chores.models import Task
from household.chores.settling import settle as settle_task
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household, Member
from household.week.models import MonthNote, WeekPlan
from household.week.places import Where, where_in
from household.week.queries import Week

MOST_STEPS = 50


@writes
def keep_draft(
    *, week: Week, places: dict[str, dict[str, Any]], outcome: dict[str, Any], words: str
) -> WeekPlan:
    """Take a share-out's plan as the draft; the draft before it can be had back."""
    plan = _remember(week.plan, words)
    plan.places = places
    plan.outcome = outcome
    return _save(plan)


@writes
def better_draft(
    *, plan_id: int, was: dict[str, Any], places: dict[str, Any], outcome: dict[str, Any]
) -> bool:
    """Replace a share-out's draft by its better successor, unless somebody changed it since."""
    plan = WeekPlan.objects.filter(pk=plan_id).first()
    if plan is None or plan.places != was:
        return False
    plan.places = places
    plan.outcome = outcome
    _save(plan)
    return True


@writes
def put(*, week: Week, task: Task, member: Member, day: date, held: bool = True) -> WeekPlan:
    """Put a task with a person on a day, in the draft. Hard limits are refused with the reason."""
    words = task_refusal(task, member)
    if words:
        raise Refused(words)
    if day in week.away[member.pk]:
        raise Refused(f"{member.name} is away that day.")
    if day not in week.days:
        raise Refused("That day is not in this week. Open its week first.")
    if day < week.today:
        raise Refused("That day is over. Choose today or a later one.")
    plan = _remember(week.plan, f"putting “{open_name(task)}” there")
    plan.places = {
        **plan.places,
        str(task.pk): {"member": member.pk, "day": day.isoformat(), "held": held},
    }
    plan.outcome = {}
    return _save(plan)


@writes
def let_go(*, week: Week, task: Task) -> WeekPlan:
    """Take a task out of the draft: it stands again as it did before planning."""
    if str(task.pk) not in week.plan.places:
        return week.plan
    plan = _remember(week.plan, f"taking “{open_name(task)}” out")
    plan.places = {key: place for key, place in plan.places.items() if key != str(task.pk)}
    plan.outcome = {}
    return _save(plan)


@writes
def undo_step(*, plan: WeekPlan) -> str:
    """Go back to the draft before the last change; returns what was taken back, or ""."""
    if plan.pk is None or not plan.steps:
        return ""
    *earlier, last = plan.steps
    plan.steps = earlier
    plan.places = last["places"]
    plan.outcome = last["outcome"]
    _save(plan)
    return str(last["words"])


@writes
def write_down(
    *, plan: WeekPlan, priorities: list[str], notes: str, day_notes: dict[str, str], preset: str
) -> WeekPlan:
    """Keep what matters most, the notes, and what the share-out keeps to."""
    plan.priorities = [line.strip() for line in priorities if line.strip()]
    plan.notes = notes
    plan.day_notes = {day: text for day, text in day_notes.items() if text.strip()}
    plan.preset = preset
    return _save(plan)


@dataclass(frozen=True, slots=True)
class Change:
    """What settling would change for one task."""

    task: Task
    was: Where | None
    will: Where


def changes(week: Week) -> list[Change]:
    """Tasks whose person or day the draft changes, in the order of their days."""
    found = []
    for task in week.tasks:
        will = where_in(week, task)
        was = Where.now(week, task)
        if will is not None and will.drafted and (was is None or not will.same_as(was)):
            found.append(Change(task, was, will))
    return sorted(found, key=lambda each: (each.will.day, each.task.pk))


@writes
def settle(*, week: Week, actor: Member, now: datetime) -> list[Change]:
    """Write the draft's days and people to the tasks. Each change is an entry of its task."""
    made = changes(week)
    for each in made:
        settle_task(task=each.task, to=each.will.member, day=each.will.day, actor=actor, now=now)
    plan = week.plan
    plan.steps, plan.places = [], {}
    plan.settled_at, plan.settled_by = now, actor
    _save(plan)
    return made


def _remember(plan: WeekPlan, words: str) -> WeekPlan:
    step = {"words": words, "places": plan.places, "outcome": plan.outcome}
    plan.steps = [*plan.steps, step][-MOST_STEPS:]
    return plan


def _save(plan: WeekPlan) -> WeekPlan:
    plan.save()
    touch(plan.household_id)
    return plan


@writes
def write_month_note(*, household: Household, year: int, month: int, notes: str) -> MonthNote:
    """Keep what is written on a month's page."""
    note, _ = MonthNote.objects.update_or_create(
        household=household, month=date(year, month, 1), defaults={"notes": notes}
    )
    touch(household.pk)
    return note

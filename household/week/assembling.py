"""A household's week as a problem to share out, and back."""

from __future__ import annotations

from datetime import date
from typing import Any

from household.calc.ledger import Stake, agreed_minutes, pulls
from household.calc.sharing.problem import Member as Person
from household.calc.sharing.problem import Place, Problem, with_targets
from household.calc.sharing.problem import Task as Job
from household.chores.eligibility import eligible, task_refusal
from household.chores.models import Task, Who
from household.people.models import Member
from household.week.balances import balances
from household.week.places import Where
from household.week.queries import Week


def problem_of(week: Week, *, left_out: frozenset[int] = frozenset()) -> Problem:
    """What must be placed in this week, with everybody's free minutes and hard limits."""
    carried = balances(week.household, week.members, week.first)
    stakes = [Stake(m.weight, 7 - len(week.away[m.pk])) for m in week.members]
    ahead = _ahead_so_far(week, stakes)
    people = tuple(
        _person(week, member, pull, carried[member.pk] + ahead[member.pk])
        for member, pull in zip(week.members, pulls(stakes), strict=True)
    )
    jobs = tuple(
        _job(week, task)
        for task in week.tasks
        if week.must_be_placed(task) and task.pk not in left_out
    )
    return with_targets(f"{week.household.pk}-{week.first}", people, jobs)


def _ahead_so_far(week: Week, stakes: list[Stake]) -> dict[int, int]:
    """Minutes above (+) or below (−) the share of what was done in this week already."""
    done = dict.fromkeys((member.pk for member in week.members), 0)
    for task in week.closed:
        if task.done_by_id in done:
            done[task.done_by_id] += task.minutes_taken or task.minutes
    agreed = agreed_minutes(sum(done.values()), stakes)
    return {pk: done[pk] - share for pk, share in zip(done, agreed, strict=True)}


def _person(week: Week, member: Member, pull: int, balance: int) -> Person:
    used = dict.fromkeys(week.days, 0)
    for task in week.closed:
        if task.done_by_id == member.pk and task.done_on is not None:
            used[task.done_on] += task.minutes_taken or task.minutes
    return Person(
        id=str(member.pk),
        weight=pull,
        capacity=tuple(
            max(0, free - used[day]) if day >= week.today else 0
            for day, free in zip(week.days, week.free[member.pk], strict=True)
        ),
        target=0,
        balance=balance,
        dislike={kind: int(much) for kind, much in member.dislikes.items()},
        skills=tuple(member.skills),
        away=tuple(n for n, day in enumerate(week.days) if day in week.away[member.pk]),
    )


def _job(week: Week, task: Task) -> Job:
    held = week.plan.draft.get(str(task.pk))
    days = week.allowed_days(task)
    fixed = _fixed_member(week, task)
    if held and held.get("held"):
        days = (date.fromisoformat(held["day"]),)
        fixed = held["member"]
    usual = _usual_member(task)
    return Job(
        id=str(task.pk),
        minutes=task.minutes,
        kind=task.kind,
        days=tuple(n for n, day in enumerate(week.days) if day in days),
        eligible=tuple(str(m.pk) for m in who_may(week, task)),
        fixed_member=str(fixed) if fixed else None,
        last_member=str(usual) if usual else None,
        stay=usual is not None,
        published=_published(week, task),
    )


def who_may(week: Week, task: Task) -> list[Member]:
    """Members whom the task's limits allow."""
    if task.chore is None:
        return [member for member in week.members if not task_refusal(task, member)]
    return eligible(task.chore, week.members)


def _fixed_member(week: Week, task: Task) -> int | None:
    """Whose it must be: as the chore says, or a one-off's own person while they are at home."""
    if task.chore is not None:
        return task.chore.fixed_id if task.chore.who == Who.FIXED else None
    away = week.away.get(task.member_id or 0, frozenset())
    return None if away.issuperset(week.allowed_days(task)) else task.member_id


def _usual_member(task: Task) -> int | None:
    """Whose turn it is, or who has it now: the share-out would rather leave it with them."""
    return task.member_id


def _published(week: Week, task: Task) -> Place | None:
    """Where a settled week has a task, as everybody knows it; moving it disturbs.

    Not what came up after the settling, and not a place that nobody can keep any more.
    """
    settled, where = week.plan.settled_at, Where.now(week, task)
    if settled is None or where is None or task.created_at > settled:
        return None
    return Place(str(where.member.pk), week.days.index(where.day))


def places_of(week: Week, assignment: dict[str, Place]) -> dict[str, dict[str, Any]]:
    """A plan as the draft keeps it; what was held stays held."""
    before = week.plan.draft
    return {
        task: {
            "member": int(place.member),
            "day": week.days[place.day].isoformat(),
            "held": bool(before.get(task, {}).get("held")),
        }
        for task, place in sorted(assignment.items())
    }

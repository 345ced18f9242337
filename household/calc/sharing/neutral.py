"""The neutral JSON form of a week ("week to share out, 1"): read with care, written back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from household.calc.sharing.problem import (
    DAYS,
    Assignment,
    Member,
    Place,
    Problem,
    Task,
    with_targets,
)

SCHEMA = "week to share out, 1"


class BadProblem(ValueError):
    """The JSON is not a week to share out; the message says where."""


def from_json(data: object) -> Problem:
    """A problem from parsed JSON; targets are worked out unless every member brings one.

    Raises BadProblem, naming the member or task and the field, on anything it cannot read.
    """
    top = _mapping(data, "the file")
    members = tuple(_member(row, i) for i, row in enumerate(_rows(top, "members")))
    tasks = tuple(_task(row, i) for i, row in enumerate(_rows(top, "tasks")))
    _unique([member.id for member in members], "members")
    _unique([task.id for task in tasks], "tasks")
    if not members:
        raise BadProblem("members: at least one is needed")
    known = {member.id for member in members}
    for task in tasks:
        _known_people(task, known)
    problem = Problem(str(top.get("id", "")), members, tasks)
    given = [row for row in _rows(top, "members") if row.get("target") is not None]
    if len(given) == len(members):
        return problem
    if sum(member.weight for member in members) <= 0:
        raise BadProblem("members: at least one weight must be above 0")
    return with_targets(problem.id, members, tasks)


def to_json(problem: Problem) -> dict[str, Any]:
    """The neutral form of a problem, ready for json.dumps."""
    return {
        "schema": SCHEMA,
        "id": problem.id,
        "members": [
            {
                "id": m.id,
                "weight": m.weight,
                "balance": m.balance,
                "target": m.target,
                "capacity": list(m.capacity),
                "dislike": dict(sorted(m.dislike.items())),
                "skills": list(m.skills),
                "age": m.age,
                **({"away": list(m.away)} if m.away else {}),
            }
            for m in problem.members
        ],
        "tasks": [
            {
                "id": t.id,
                "minutes": t.minutes,
                "kind": t.kind,
                "days": list(t.days),
                "eligible": list(t.eligible),
                "fixed_member": t.fixed_member,
                "last_member": t.last_member,
                "stay": t.stay,
                "published": t.published and {"member": t.published.member, "day": t.published.day},
            }
            for t in problem.tasks
        ],
    }


def assignment_to_json(assignment: Assignment) -> dict[str, list[str | int]]:
    """{task: [member, day]}, in order of task ids."""
    return {id: [place.member, place.day] for id, place in sorted(assignment.items())}


def assignment_from_json(data: object) -> dict[str, Place]:
    """The other way round; BadProblem on anything else."""
    plan = {}
    for id, pair in _mapping(data, "assignment").items():
        if not isinstance(pair, list) or len(pair) != 2:
            raise BadProblem(f"assignment, {id}: a member and a day are needed")
        plan[id] = Place(_text(pair[0], f"assignment, {id}"), _day(pair[1], f"assignment, {id}"))
    return plan


def with_settled(problem: Problem, settled: Assignment) -> Problem:
    """The problem with this plan as the settled one, where a task is in it."""
    tasks = [replace(task, published=settled.get(task.id)) for task in problem.tasks]
    return Problem(problem.id, problem.members, tuple(tasks))


def _member(row: Mapping[str, Any], position: int) -> Member:
    where = f"members, {row.get('id', f'number {position + 1}')}"
    capacity = row.get("capacity")
    if not isinstance(capacity, list) or len(capacity) != DAYS:
        raise BadProblem(f"{where}: capacity must be a list of {DAYS} whole minutes")
    dislike = _mapping(row.get("dislike") or {}, f"{where}: dislike")
    skills = row.get("skills") or []
    return Member(
        id=_text(row.get("id"), f"{where}: id"),
        weight=_whole(row.get("weight"), f"{where}: weight", low=0),
        capacity=tuple(_whole(free, f"{where}: capacity", low=0) for free in capacity),
        target=_whole(row.get("target") or 0, f"{where}: target", low=0),
        balance=_whole(row.get("balance") or 0, f"{where}: balance"),
        dislike={
            kind: _whole(much, f"{where}: dislike of {kind}", low=1, high=5)
            for kind, much in dislike.items()
        },
        skills=tuple(_text(skill, f"{where}: skills") for skill in skills),
        age=None if row.get("age") is None else _whole(row["age"], f"{where}: age", low=0),
        away=tuple(
            _whole(day, f"{where}: away", low=0, high=DAYS - 1) for day in row.get("away") or []
        ),
    )


def _task(row: Mapping[str, Any], position: int) -> Task:
    where = f"tasks, {row.get('id', f'number {position + 1}')}"
    days, eligible = row.get("days"), row.get("eligible")
    if not isinstance(days, list) or not isinstance(eligible, list):
        raise BadProblem(f"{where}: days and eligible must be lists")
    published = row.get("published")
    if published is not None:
        _mapping(published, f"{where}: published")
        published = Place(
            _text(published.get("member"), f"{where}: published member"),
            _day(published.get("day"), f"{where}: published day"),
        )
    return Task(
        id=_text(row.get("id"), f"{where}: id"),
        minutes=_whole(row.get("minutes"), f"{where}: minutes", low=1),
        kind=_text(row.get("kind", ""), f"{where}: kind"),
        days=tuple(sorted({_day(day, f"{where}: days") for day in days})),
        eligible=tuple(sorted({_text(id, f"{where}: eligible") for id in eligible})),
        fixed_member=_text_or_none(row.get("fixed_member"), f"{where}: fixed_member"),
        last_member=_text_or_none(row.get("last_member"), f"{where}: last_member"),
        stay=bool(row.get("stay", False)),
        published=published,
    )


def _known_people(task: Task, known: set[str]) -> None:
    named = {*task.eligible, task.fixed_member} - {None}
    strangers = sorted(str(id) for id in named - known)
    if strangers:
        raise BadProblem(f"tasks, {task.id}: no member is called {', '.join(strangers)}")


def _rows(top: Mapping[str, Any], key: str) -> Sequence[Mapping[str, Any]]:
    rows = top.get(key)
    if not isinstance(rows, list):
        raise BadProblem(f"{key}: a list is needed")
    return [_mapping(row, f"{key}, number {i + 1}") for i, row in enumerate(rows)]


def _unique(ids: Sequence[str], where: str) -> None:
    twice = sorted({id for id in ids if ids.count(id) > 1})
    if twice:
        raise BadProblem(f"{where}: the same id twice: {', '.join(twice)}")


def _mapping(value: object, where: str) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise BadProblem(f"{where}: an object is needed")
    return value


def _text(value: object, where: str) -> str:
    if not isinstance(value, str):
        raise BadProblem(f"{where}: text is needed")
    return value


def _text_or_none(value: object, where: str) -> str | None:
    return None if value is None else _text(value, where)


def _whole(value: object, where: str, low: int | None = None, high: int | None = None) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise BadProblem(f"{where}: a whole number is needed")
    if (low is not None and value < low) or (high is not None and value > high):
        raise BadProblem(f"{where}: {value} is out of range")
    return value


def _day(value: object, where: str) -> int:
    return _whole(value, where, low=0, high=DAYS - 1)

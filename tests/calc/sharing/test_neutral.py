"""Reading and writing the neutral form. The form is our own."""

from typing import Any

import pytest

from household.calc.sharing import BadProblem, Place, from_json, share_out


def a_week() -> dict[str, Any]:
    return {
        "members": [
            {"id": "a", "weight": 1, "capacity": [60] * 7},
            {"id": "b", "weight": 2, "capacity": [60] * 7},
        ],
        "tasks": [
            {"id": "t1", "minutes": 30, "kind": "k", "days": [0], "eligible": ["a", "b"]},
            {"id": "t2", "minutes": 60, "kind": "k", "days": [1], "eligible": ["a", "b"]},
        ],
    }


def test_targets_are_worked_out_where_the_file_has_none() -> None:
    assert [member.target for member in from_json(a_week()).members] == [30, 60]


@pytest.mark.parametrize(
    ("part", "field", "value", "says"),
    [
        ("members", "weight", "three", "members, a: weight: a whole number"),
        ("members", "capacity", [60] * 6, "members, a: capacity"),
        ("members", "dislike", {"k": 9}, "dislike of k: 9 is out of range"),
        ("members", "id", "b", "same id twice: b"),
        ("tasks", "minutes", 0, "tasks, t1: minutes: 0 is out of range"),
        ("tasks", "minutes", True, "tasks, t1: minutes: a whole number"),
        ("tasks", "days", [7], "tasks, t1: days: 7 is out of range"),
        ("tasks", "days", 3, "tasks, t1: days and eligible must be lists"),
        ("tasks", "eligible", ["z"], "tasks, t1: no member is called z"),
        ("tasks", "fixed_member", "z", "tasks, t1: no member is called z"),
        ("tasks", "published", "monday", "tasks, t1: published: an object"),
        ("tasks", "id", "t2", "same id twice: t2"),
    ],
)
def test_what_cannot_be_read_is_named(part: str, field: str, value: object, says: str) -> None:
    week = a_week()
    week[part][0][field] = value
    with pytest.raises(BadProblem, match=says):
        from_json(week)


@pytest.mark.parametrize("data", [None, [], {}, {"members": [], "tasks": []}, {"members": 3}])
def test_what_is_no_week_is_refused(data: object) -> None:
    with pytest.raises(BadProblem):
        from_json(data)


def test_a_task_for_nobody_or_no_day_is_reported_and_left_out() -> None:
    week = a_week()
    week["tasks"] += [
        {"id": "t3", "minutes": 10, "kind": "k", "days": [0], "eligible": []},
        {"id": "t4", "minutes": 10, "kind": "k", "days": [], "eligible": ["a"]},
        {
            "id": "t5",
            "minutes": 10,
            "kind": "k",
            "days": [0],
            "eligible": ["a"],
            "fixed_member": "b",
        },
    ]
    solution = share_out(from_json(week), seconds=60)
    assert solution.unplaced == ("t3", "t4", "t5")
    assert set(solution.assignment) == {"t1", "t2"}
    assert solution.proven
    assert sum(member.target for member in from_json(week).members) == 90


def test_a_week_without_tasks_is_shared_out_at_once() -> None:
    week = a_week() | {"tasks": []}
    solution = share_out(from_json(week), seconds=60)
    assert (solution.assignment, solution.proven) == ({}, True)


def test_a_settled_plan_is_kept_where_nothing_is_gained_by_a_change() -> None:
    problem = from_json(a_week())
    settled = {"t1": Place("a", 0), "t2": Place("b", 1)}
    solution = share_out(problem, seconds=60, settled=settled)
    assert solution.assignment == settled
    assert solution.components.change_points == 0

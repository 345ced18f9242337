"""The three published weeks: reference values of an independent prototype, kept in the files."""

import json
from pathlib import Path
from typing import Any

import pytest

from household.calc.sharing import EVEN, from_json, share_out, to_json
from household.calc.sharing.aims import broken_limits, components, envy
from household.calc.sharing.neutral import assignment_from_json
from household.calc.sharing.problem import with_targets

DATA = Path(__file__).parents[2] / "data" / "share_out"
WEEKS = ["week-a", "week-b", "week-c"]
# Proof takes a few seconds; slow machines get as long as they need.
PLENTY = 300.0


def read(name: str) -> dict[str, Any]:
    data: dict[str, Any] = json.loads((DATA / f"{name}.json").read_text())
    return data


@pytest.mark.parametrize("name", WEEKS)
def test_the_checker_agrees_with_the_reference_on_every_component(name: str) -> None:
    data = read(name)
    problem = from_json(data)
    for reference in (data["reference_weighted"], data["best_known"]):
        plan = assignment_from_json(reference["assignment"])
        parts = components(problem, plan)
        assert broken_limits(problem, plan) == ()
        assert parts.overload_minutes == reference["overload_minutes"]
        assert parts.max_share_deviation_minutes == reference["max_share_deviation_minutes"]
        assert parts.sum_share_deviation_minutes == reference["sum_share_deviation_minutes"]
        assert parts.change_points == reference["change_points"]
        assert parts.comfort_points == reference["comfort_points"]
        assert len(envy(problem, plan)) == reference["wef1_violations"]
        assert len(envy(problem, plan, drop=0)) == reference["weighted_envy_pairs"]
    plan = assignment_from_json(data["reference_weighted"]["assignment"])
    value = EVEN.weigh(components(problem, plan), len(problem.members))
    assert value == data["reference_weighted"]["objective"]


@pytest.mark.parametrize("name", WEEKS)
def test_targets_follow_from_weights_and_balances(name: str) -> None:
    problem = from_json(read(name))
    again = with_targets(problem.id, problem.members, problem.tasks)
    assert [m.target for m in again.members] == [m.target for m in problem.members]


@pytest.mark.parametrize("name", WEEKS)
def test_the_reference_is_reached_and_proven(name: str) -> None:
    data = read(name)
    solution = share_out(from_json(data), seconds=PLENTY)
    assert solution.proven
    assert solution.limited_by == "proof"
    assert solution.value == solution.bound == data["reference_weighted"]["objective"]


@pytest.mark.parametrize("name", ["week-a", "week-c"])
def test_the_same_week_gives_the_same_plan_in_any_order(name: str) -> None:
    data = read(name)
    first = share_out(from_json(data), seconds=PLENTY)
    data["tasks"].reverse()
    data["members"].reverse()
    second = share_out(from_json(data), seconds=PLENTY)
    assert first.assignment == second.assignment


@pytest.mark.parametrize("name", WEEKS)
def test_the_neutral_form_is_written_as_it_was_read(name: str) -> None:
    data = read(name)
    written = to_json(from_json(data))
    assert written["members"] == data["members"]
    assert written["tasks"] == data["tasks"]

"""The share-out command: reference values as in tests/calc/sharing/test_published.py."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from household.calc.sharing import from_json
from household.calc.sharing.aims import broken_limits, components
from household.calc.sharing.neutral import assignment_from_json

WEEK = Path(__file__).parents[1] / "data" / "share_out" / "week-a.json"
AIMS = {
    "overload_minutes",
    "max_share_deviation_minutes",
    "sum_share_deviation_minutes",
    "change_points",
    "comfort_points",
}


def run(*arguments: str) -> dict[str, Any]:
    out = StringIO()
    call_command("shareout", *arguments, stdout=out)
    data: dict[str, Any] = json.loads(out.getvalue())
    return data


def test_the_plan_and_its_figures_are_printed() -> None:
    printed = run(str(WEEK), "--seconds", "300")
    reference = json.loads(WEEK.read_text())["reference_weighted"]
    assert printed["objective"] == printed["bound"] == reference["objective"]
    assert {aim: printed[aim] for aim in AIMS} == {aim: reference[aim] for aim in AIMS}
    assert set(printed["proven"]) == set(printed["bounds"]) == AIMS | {"objective"}
    assert printed["proven"]["objective"] is printed["proven_optimal"] is True
    assert all(printed["bounds"][aim] <= printed[aim] for aim in AIMS)
    assert printed["gap"] == 0
    assert printed["seconds"] > 0


def test_the_assignment_has_the_form_of_the_reference() -> None:
    printed = run(str(WEEK), "--seconds", "300")
    week = json.loads(WEEK.read_text())
    assert set(printed["assignment"]) == set(week["best_known"]["assignment"])
    problem, plan = from_json(week), assignment_from_json(printed["assignment"])
    assert broken_limits(problem, plan) == ()
    assert components(problem, plan).overload_minutes == printed["overload_minutes"]


def test_other_rates_give_another_aim() -> None:
    even, shares = run(str(WEEK)), run(str(WEEK), "--rates", "shares")
    assert even["objective"] != shares["objective"]
    assert shares["max_share_deviation_minutes"] <= even["max_share_deviation_minutes"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (None, "No such file"),
        (b"{", "is not JSON"),
        (b"\xff\xfe", "is not text in UTF-8"),
        (b'{"members": []}', "tasks: a list is needed"),
    ],
)
def test_what_cannot_be_read_ends_with_code_2(
    tmp_path: Path, text: bytes | None, says: str
) -> None:
    file = tmp_path / "week.json"
    if text is not None:
        file.write_bytes(text)
    with pytest.raises(CommandError, match=says) as caught:
        run(str(file))
    assert caught.value.returncode == 2


def test_no_time_is_refused() -> None:
    with pytest.raises(CommandError, match="above 0") as caught:
        run(str(WEEK), "--seconds", "0")
    assert caught.value.returncode == 2

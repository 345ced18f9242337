"""Wall times and moments.

Sources: RFC 5545 section 3.3.5 for what skipped and repeated times mean; the IANA time zone
database for the offset changes of 2026 to 2028 (tests/data/dst_cases.json). Changes to come are
what governments have announced; Morocco's, decided anew each year, are left out.
"""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from household.calc.recurrence.dates import moments
from household.calc.recurrence.rules import parse
from household.calc.recurrence.zone import attach, local_today

DATA = Path(__file__).parents[2] / "data"
DST = json.loads((DATA / "dst_cases.json").read_text())
RFC = json.loads((DATA / "rfc5545_recurrence.json").read_text())
TRANSITIONS = [one for one in DST["transitions"] if one["tzid"] != "Africa/Casablanca"]


def named(case: dict[str, Any]) -> str:
    return " ".join(str(value) for value in list(case.values())[:2])


@pytest.mark.parametrize("case", DST["rfc_examples"], ids=named)
def test_worked_examples_of_the_rfc(case: dict[str, Any]) -> None:
    moment = attach(datetime.fromisoformat(case["local"]), case["tzid"])
    assert moment.astimezone(UTC) == datetime.fromisoformat(case["expected_utc"])
    shown = case.get("expected_shown_local", case["local"] + case.get("expected_offset", ""))
    assert moment.isoformat() == shown


@pytest.mark.parametrize("case", TRANSITIONS, ids=named)
def test_times_around_an_offset_change(case: dict[str, Any]) -> None:
    change = datetime.fromisoformat(case["utc"])
    before, after = (datetime.fromisoformat(case[f"local_{side}"]) for side in ("before", "after"))
    offset_before = timedelta(minutes=case["offset_before_min"])
    step = timedelta(minutes=10)
    if case["kind"] == "gap":
        # Skipped: read with the offset from before the gap, thus past it on the clock.
        moment = attach(before + step, case["tzid"])
        assert moment.replace(tzinfo=None) == after + step
    else:
        # Twice: the first of the two, which has the offset from before.
        moment = attach(after + step, case["tzid"])
        assert moment.utcoffset() == offset_before
        # By way of UTC: Python never calls a repeated time equal to a moment of another zone.
        assert moment.astimezone(UTC) == change - (before - after) + step
    last_minute = attach(min(before, after) - step, case["tzid"])
    assert last_minute.utcoffset() == offset_before
    next_hour = attach(max(before, after) + timedelta(hours=2), case["tzid"])
    assert next_hour.utcoffset() == timedelta(minutes=case["offset_after_min"])


@pytest.mark.parametrize("case", DST["daily_rule_over_dst"], ids=lambda case: case["date"])
def test_a_daily_rule_keeps_its_wall_time_over_the_changes(case: dict[str, Any]) -> None:
    start = datetime.fromisoformat(f"2027-01-01T{case['wall']}:00")
    day = datetime.fromisoformat(case["date"])
    found = moments(
        [parse("FREQ=DAILY", timed=True)],
        start=start,
        tz=case["tzid"],
        first=day,
        last=day + timedelta(hours=23),
    )
    assert [on.astimezone(UTC).isoformat() for on in found] == [case["utc_by_rfc_3_3_5"]]


def test_a_time_that_does_not_exist_is_kept_and_counted() -> None:
    """RFC 5545 leaves two readings open; this is the one of its section 3.3.5."""
    start = datetime.fromisoformat("2027-03-13T02:30:00")
    rule = parse("FREQ=DAILY;COUNT=3", timed=True)
    found = moments([rule], start=start, tz="America/New_York", count=99)
    expected = RFC["nonexistent_time"]["dateutil_utc"]
    assert [on.astimezone(UTC).isoformat() for on in found] == expected


def test_two_wall_times_that_are_one_moment_come_once() -> None:
    start = datetime.fromisoformat("2027-03-14T00:30:00")
    rule = parse("FREQ=DAILY;BYHOUR=2,3;COUNT=4", timed=True)
    found = moments([rule], start=start, tz="America/New_York", count=99)
    assert [on.strftime("%d %H:%M") for on in found] == ["14 03:30", "15 02:30", "15 03:30"]


def test_moments_need_a_limit() -> None:
    start = datetime.fromisoformat("2027-03-14T00:30:00")
    with pytest.raises(ValueError, match="last or count"):
        moments([parse("FREQ=DAILY", timed=True)], start=start, tz="UTC")


def test_exdates_and_windows_cut_moments_out() -> None:
    start = datetime.fromisoformat("2026-03-17T09:00:00")
    window = {"first": start + timedelta(days=1), "last": start + timedelta(days=4)}
    rules = [parse("FREQ=DAILY;COUNT=4", timed=True)]
    gone = [start + timedelta(days=2)]
    found = moments(rules, start=start, tz="Europe/Berlin", exdates=gone, **window)
    assert [on.day for on in found] == [18, 20]


@pytest.mark.parametrize(
    ("tz", "day"),
    [
        ("UTC", "2026-12-31"),
        ("Pacific/Kiritimati", "2027-01-01"),
        ("Pacific/Pago_Pago", "2026-12-30"),
        ("Europe/Berlin", "2026-12-31"),
    ],
)
def test_today_is_the_household_s_own(tz: str, day: str) -> None:
    assert local_today(datetime(2026, 12, 31, 10, 30, tzinfo=UTC), tz).isoformat() == day


def test_times_of_the_wrong_sort_are_refused() -> None:
    with pytest.raises(ValueError, match="without a zone"):
        attach(datetime(2026, 1, 1, tzinfo=UTC), "UTC")
    with pytest.raises(ValueError, match="with its zone"):
        local_today(datetime.fromisoformat("2026-01-01T00:00:00"), "UTC")

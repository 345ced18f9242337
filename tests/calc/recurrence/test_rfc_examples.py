"""Every example of RFC 5545 section 3.8.5.3, three of 3.3.10, and two errata.

Source: RFC 5545 (IETF, 2009), https://www.rfc-editor.org/rfc/rfc5545; verified erratum 3883 and
rejected erratum 6212, https://www.rfc-editor.org/errata/rfc5545. Dates and offsets as printed
there, in tests/data/rfc5545_recurrence.json.
"""

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from household.calc.recurrence.dates import between, moments, upcoming
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.rules import parse

DATA = Path(__file__).parents[2] / "data" / "rfc5545_recurrence.json"
RFC = json.loads(DATA.read_text())
NEW_YORK = "America/New_York"
FAR = datetime.fromisoformat("2030-01-01T00:00:00")
FASTER_THAN_DAILY = ("HOURLY", "MINUTELY", "SECONDLY")


def is_faster(rule: str) -> bool:
    return any(f"FREQ={freq}" in rule for freq in FASTER_THAN_DAILY)


def names(rule: str) -> set[str]:
    return {part.partition("=")[0] for part in rule.split(";")}


def cases(*, faster: bool) -> list[Any]:
    return [
        pytest.param(example, rule, id=f"{example['id']} {rule}")
        for example in RFC["examples"]
        for rule in example["rules"] + example.get("corrected_rules", [])
        if is_faster(rule) == faster
    ]


def test_all_39_examples_are_here() -> None:
    assert len(RFC["examples"]) == 39
    assert sum(len(example["expected_local"]) for example in RFC["examples"]) == 623
    # Four rules are faster than daily; with the rule corrected by erratum 3883, five.
    assert (len(cases(faster=False)), len(cases(faster=True))) == (38, 5)


@pytest.mark.parametrize(("example", "rule"), cases(faster=False))
def test_example_gives_the_printed_moments(example: dict[str, Any], rule: str) -> None:
    expected = list(zip(example["expected_local"], example["expected_utc_offset"], strict=True))
    exdates = [datetime.fromisoformat(example["dtstart_local"])] if "exdate" in example else []
    found = moments(
        [parse(rule, timed=True)],
        start=datetime.fromisoformat(example["dtstart_local"]),
        tz=example["tzid"],
        exdates=exdates,
        last=FAR if example["finite"] else None,
        count=None if example["finite"] else len(expected),
    )
    assert [(on.replace(tzinfo=None).isoformat(), on.isoformat()[-6:]) for on in found] == expected


@pytest.mark.parametrize(("example", "rule"), cases(faster=True))
def test_example_faster_than_daily_is_refused(example: dict[str, Any], rule: str) -> None:
    with pytest.raises(RuleError, match="faster than once a day"):
        parse(rule, timed=True)


@pytest.mark.parametrize(
    ("example", "rule"),
    [case for case in cases(faster=False) if not {"UNTIL", "BYHOUR"} & names(case.values[1])],
)
def test_a_chore_by_the_same_rule_falls_on_the_same_days(
    example: dict[str, Any], rule: str
) -> None:
    start = datetime.fromisoformat(example["dtstart_local"]).date()
    expected = [date.fromisoformat(on[:10]) for on in example["expected_local"]]
    if "exdate" in example:
        assert start not in expected
    found = upcoming(parse(rule), start=start, after=start - timedelta(days=1), count=len(expected))
    assert found == expected


def test_until_is_a_moment_not_a_day() -> None:
    """Erratum 6212, rejected in 2024: UNTIL=19971224T000000Z leaves out 24 December 09:00."""
    rule = parse("FREQ=DAILY;UNTIL=19971224T000000Z", timed=True)
    start = datetime.fromisoformat("1997-12-22T09:00:00")
    in_new_york = moments([rule], start=start, tz=NEW_YORK, last=FAR)
    assert [on.day for on in in_new_york] == [22, 23]
    # 24 December 09:00 in Auckland is 23 December 20:00 in UTC.
    in_auckland = moments([rule], start=start, tz="Pacific/Auckland", last=FAR)
    assert [on.day for on in in_auckland] == [22, 23, 24]


def test_two_rules_that_meet_give_each_moment_once() -> None:
    """Section 3.8.5.3: duplicates are one instance. The two rules of its example 5 are equal."""
    example = RFC["examples"][4]
    rules = [parse(rule, timed=True) for rule in example["rules"]]
    start = datetime.fromisoformat(example["dtstart_local"])
    found = moments(rules, start=start, tz=NEW_YORK, last=FAR)
    assert len(found) == len(example["expected_local"]) == 93


def extra(ending: str) -> dict[str, Any]:
    [found] = [one for one in RFC["extra_examples"] if one["id"] == f"rfc5545-3.3.10-{ending}"]
    return found


def test_by_parts_expand_to_times_of_day() -> None:
    example = extra("a")
    found = moments(
        [parse(rule, timed=True) for rule in example["rules"]],
        start=datetime.fromisoformat("1997-01-05T08:30:00"),
        tz=NEW_YORK,
        count=len(example["expected_local"]),
    )
    assert [on.replace(tzinfo=None).isoformat() for on in found] == example["expected_local"]


def test_ten_occurrences_every_other_day() -> None:
    start = date(2026, 3, 17)
    found = between(parse(extra("b")["rules"][0]), start=start, first=start, last=date.max)
    assert found == [start + timedelta(days=2 * n) for n in range(10)]


def test_last_work_day_of_the_month() -> None:
    example = extra("c")
    first, last = date(2026, 1, 1), date(2026, 12, 31)
    found = between(parse(example["rules"][0]), start=first, first=first, last=last)
    assert [on.isoformat() for on in found] == example["computed_2026"]

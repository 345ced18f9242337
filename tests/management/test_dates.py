"""`manage.py dates`: what it prints, what it refuses and how it ends."""

import subprocess
import sys
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).parents[2]


def dates(*arguments: str) -> list[str]:
    out = StringIO()
    call_command("dates", *arguments, stdout=out)
    return out.getvalue().split()


def test_it_prints_the_first_dates_of_a_rule() -> None:
    """RFC 5545 section 3.8.5.3: every other week on Tuesday and Thursday, weeks from Sunday."""
    rule = "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH"
    assert dates(rule, "--start", "1997-09-02", "--count", "20") == [
        "1997-09-02",
        "1997-09-04",
        "1997-09-16",
        "1997-09-18",
        "1997-09-30",
        "1997-10-02",
        "1997-10-14",
        "1997-10-16",
    ]


def test_it_prints_the_dates_of_a_window_both_ends_included() -> None:
    """RFC 5545 section 3.8.5.3: every Friday the 13th."""
    rule = "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13"
    window = ("--from", "1998-03-13", "--to", "1998-11-13")
    assert dates(rule, "--start", "1997-09-02", *window) == [
        "1998-03-13",
        "1998-11-13",
    ]
    assert dates(rule, "--start", "1997-09-02", "--from", "1999-01-01", "--to", "1999-07-31") == []


def test_the_start_counts_only_if_the_rule_names_it() -> None:
    rule = "FREQ=WEEKLY;BYDAY=MO"
    assert dates(rule, "--start", "2026-03-17", "--count", "1") == ["2026-03-23"]
    assert dates(rule, "--start", "2026-03-16", "--count", "1") == ["2026-03-16"]
    before = ("--from", "2026-01-01", "--to", "2026-03-23")
    assert dates(rule, "--start", "2026-03-17", *before) == ["2026-03-23"]


@pytest.mark.parametrize(
    ("rule", "reason"),
    [
        ("FREQ=DAILY;INTERVAL=0", "INTERVAL must be from 1 to 1,000"),
        ("FREQ=HOURLY", "faster than once a day"),
        ("FREQ=DAILY;COUNT=100000", "COUNT must be from 1"),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never falls on any day"),
        ("FREQ=DAILY;UNTIL=20260101", "before it starts"),
        ("FREQ=DAILY;INTERVAL=7;BYDAY=MO", "no date from 2026-03-17"),
        ("each Tuesday", "NAME=VALUE"),
    ],
)
def test_a_refused_rule_says_why_and_exits_with_2(rule: str, reason: str) -> None:
    with pytest.raises(CommandError, match=reason) as refused:
        dates(rule, "--start", "2026-03-17", "--count", "3")
    assert refused.value.returncode == 2


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        ([], "--start"),
        (["--start", "2026-03-17"], "Give --count N, or --from DATE and --to DATE"),
        (["--start", "2026-03-17", "--from", "2026-03-17"], "Give --count N"),
        (["--start", "2026-03-17", "--count", "3", "--to", "2026-03-18"], "not both"),
        (["--start", "2026-03-17", "--count", "0"], "not a number from 1 to 5000"),
        (["--start", "2026-03-17", "--count", "many"], "not a number from 1 to 5000"),
        (["--start", "17/03/2026", "--count", "3"], "not a date such as"),
        (["--start", "2026-03-17", "--from", "2026-03-02", "--to", "2026-03-01"], "later than"),
    ],
)
def test_bad_usage_is_named(arguments: list[str], reason: str) -> None:
    with pytest.raises(CommandError, match=reason):
        dates("FREQ=DAILY", *arguments)


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["FREQ=DAILY", "--start", "2026-03-17", "--count", "2"], 0, ""),
        (
            ["FREQ=DAILY;INTERVAL=0", "--start", "2026-03-17", "--count", "2"],
            2,
            "Refused: INTERVAL must be from 1 to 1,000, not 0. Change the number.\n",
        ),
        (["FREQ=DAILY", "--start", "soon", "--count", "2"], 2, '"soon" is not a date'),
    ],
)
def test_the_process_ends_with_its_code_and_keeps_reasons_off_stdout(
    arguments: list[str], code: int, said: str
) -> None:
    command = [sys.executable, "manage.py", "dates", *arguments]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == code
    assert done.stdout.split() == ([] if code else ["2026-03-17", "2026-03-18"])
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert code or done.stderr == ""


def test_the_last_day_of_the_calendar_is_not_too_far() -> None:
    window = ("--from", "9999-12-30", "--to", "9999-12-31")
    assert dates("FREQ=DAILY", "--start", "0001-01-01", *window) == ["9999-12-30", "9999-12-31"]
    assert dates("FREQ=DAILY", "--start", date.max.isoformat(), "--count", "5") == ["9999-12-31"]

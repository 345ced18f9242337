"""Reads a foreign calendar in a process of its own, which cannot hang or fill this one."""

from __future__ import annotations

import json
import logging
import subprocess
import sys
from datetime import date, datetime
from typing import Final

from django.conf import settings

from household.calc.foreign_calendar import (
    CalendarRefused,
    ForeignEvent,
    Reading,
    check_text,
)

log = logging.getLogger(__name__)
SECONDS: Final = 9
TOO_LONG = "This calendar takes too long to work out: one of its repeats may never end."
TOO_MUCH = "This calendar could not be read: it takes too much time or memory."


def read_apart(content: bytes, *, zone: str, first: date, last: date, titles: bool) -> Reading:
    """As `calc.foreign_calendar.read_calendar`, within 9 seconds and 300 MB."""
    text = check_text(content)
    wanted = {
        "zone": zone,
        "first": first.isoformat(),
        "last": last.isoformat(),
        "titles": titles,
    }
    try:
        run = subprocess.run(
            [sys.executable, "-m", "household.feeds.reading_process"],
            input=json.dumps(wanted).encode() + b"\n" + text,
            capture_output=True,
            timeout=SECONDS,
            check=False,
            cwd=settings.BASE_DIR,
            env={"PATH": "/usr/bin:/bin", "PYTHONIOENCODING": "utf-8"},
        )
    except subprocess.TimeoutExpired:
        raise CalendarRefused(TOO_LONG) from None
    if run.returncode != 0:
        log.warning(
            "reading a calendar ended with %s: %s",
            run.returncode,
            run.stderr.decode(errors="replace").strip().splitlines()[-1:],
        )
        raise CalendarRefused(TOO_LONG if run.returncode in (-24, -9) else TOO_MUCH)
    answer = json.loads(run.stdout)
    if "refused" in answer:
        raise CalendarRefused(answer["refused"])
    return Reading(
        tuple(
            ForeignEvent(
                date.fromisoformat(starts_on),
                date.fromisoformat(ends_on),
                datetime.fromisoformat(starts_at) if starts_at else None,
                datetime.fromisoformat(ends_at) if ends_at else None,
                busy,
                title,
            )
            for starts_on, ends_on, starts_at, ends_at, busy, title in answer["events"]
        ),
        tuple(answer["notes"]),
    )

"""The process that reads one foreign calendar: `python -m household.feeds.reading_process`.

It takes a line of JSON and then the calendar from standard input and answers with JSON. It
knows nothing of Django or the database, has limits of its own on time and memory, and is
killed by its parent when it takes too long.
"""

from __future__ import annotations

import json
import resource
import sys
from datetime import date
from typing import Any

from household.calc.foreign_calendar import CalendarRefused, ForeignEvent, read_calendar

MOST_MEMORY = 300 * 1024 * 1024  # bytes of address space
MOST_SECONDS = 10  # of processor time


def main() -> int:
    limit()
    wanted = json.loads(sys.stdin.buffer.readline())
    try:
        reading = read_calendar(
            sys.stdin.buffer.read(),
            zone=wanted["zone"],
            first=date.fromisoformat(wanted["first"]),
            last=date.fromisoformat(wanted["last"]),
            titles=wanted["titles"],
        )
        answer: dict[str, Any] = {
            "events": [_plain(event) for event in reading.events],
            "notes": reading.notes,
        }
    except CalendarRefused as refusal:
        answer = {"refused": str(refusal)}
    except MemoryError:
        answer = {"refused": "This calendar takes too much memory to read."}
    json.dump(answer, sys.stdout)
    return 0


def limit() -> None:
    """No more memory, time, files or processes than reading a calendar needs."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _plain(event: ForeignEvent) -> list[Any]:
    return [
        event.first.isoformat(),
        event.last.isoformat(),
        event.starts_at.isoformat() if event.starts_at else None,
        event.ends_at.isoformat() if event.ends_at else None,
        event.busy,
        event.title,
    ]


if __name__ == "__main__":
    sys.exit(main())

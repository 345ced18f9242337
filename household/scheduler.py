"""Runs background work by itself, beside the web server, in a thread of its own.

Every few minutes it looks whether a household's midnight has passed, and then for whatever
else is due (JOBS). If it is off or dies, opening Today still makes that home's tasks, and
organisers are told after a day.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from datetime import datetime

from django.db import close_old_connections, connection
from django.utils import timezone

from household import daily
from household.feeds.receiving import refresh_due

log = logging.getLogger(__name__)
EVERY_SECONDS = 300


def _daily(now: datetime) -> None:
    daily.run(now=now)


# What is due is each job's own matter: a round in which nothing is costs a query or two.
JOBS: Sequence[tuple[str, Callable[[datetime], object]]] = (
    ("the daily job", _daily),
    ("looking at other calendars", refresh_due),
)


class Scheduler(threading.Thread):
    def __init__(self, every: float = EVERY_SECONDS) -> None:
        super().__init__(name="daily job", daemon=True)
        self._every = every
        self._stop_asked = threading.Event()

    def run(self) -> None:
        while not self._stop_asked.is_set():
            self.once()
            self._stop_asked.wait(self._every)
        connection.close()

    def once(self) -> None:
        close_old_connections()
        for name, job in JOBS:
            try:
                job(timezone.now())
            except Exception:
                # The loop's edge: whatever went wrong, the other jobs and the next round come.
                log.exception("%s failed; it is tried again in %s seconds", name, self._every)

    def stop(self) -> None:
        self._stop_asked.set()

"""Runs the daily job by itself, beside the web server, in a thread of its own.

It looks every few minutes whether a household's midnight has passed. If it is off or dies,
opening Today still makes that home's tasks, and organisers are told after a day.
"""

from __future__ import annotations

import logging
import threading

from django.db import close_old_connections, connection
from django.utils import timezone

from household import daily

log = logging.getLogger(__name__)
EVERY_SECONDS = 300


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
        try:
            daily.run(now=timezone.now())
        except Exception:
            # The loop's edge: whatever went wrong, the next round must come.
            log.exception("the daily job failed; it is tried again in %s seconds", self._every)

    def stop(self) -> None:
        self._stop_asked.set()

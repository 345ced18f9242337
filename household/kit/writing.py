"""How rows are written: one transaction an action, one writer at a time on SQLite.

SQLite lets one connection write at a time, and its own waiting is unfair: with many ticks at
once the slowest waits a second or more. A lock inside the process, taken before BEGIN, lets
the waiting threads through in turn.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import connection, transaction

P = ParamSpec("P")
R = TypeVar("R")


class InTurn:
    """A lock that threads get in the order in which they came; who has it may enter it again.

    Python's own locks let anybody pass who happens to come by when they are let go.
    """

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[tuple[int, threading.Lock]] = deque()
        self._owner: int | None = None
        self._depth = 0

    def __enter__(self) -> None:
        me = threading.get_ident()
        with self._guard:
            if self._owner in (None, me):
                self._owner, self._depth = me, self._depth + 1
                return
            mine = threading.Lock()
            mine.acquire()
            self._waiting.append((me, mine))
        mine.acquire()  # until whoever has the lock hands it on

    def __exit__(self, *error: object) -> None:
        with self._guard:
            self._depth -= 1
            if self._depth:
                return
            if not self._waiting:
                self._owner = None
                return
            self._owner, theirs = self._waiting.popleft()
            self._depth = 1
            theirs.release()


_turn = InTurn()


@contextmanager
def writing() -> Iterator[None]:
    """A transaction; on SQLite also the only one of this process while it lasts."""
    if connection.vendor != "sqlite":
        with transaction.atomic():
            yield
        return
    with _turn, transaction.atomic():
        yield


def writes(action: Callable[P, R]) -> Callable[P, R]:
    """Decorate an action that changes rows: it happens whole or not at all."""

    @wraps(action)
    def inside(*args: P.args, **kwargs: P.kwargs) -> R:
        with writing():
            return action(*args, **kwargs)

    return inside

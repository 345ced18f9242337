"""How rows are written: one transaction an action, one writer at a time on SQLite.

SQLite lets one connection write at a time, and its own waiting is unfair: with many ticks at
once the slowest waits a second or more. A lock inside the process, taken before BEGIN, lets
the waiting threads through in turn.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import connection, transaction

P = ParamSpec("P")
R = TypeVar("R")

_turn = threading.RLock()


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

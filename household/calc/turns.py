"""Whose turn is next when a chore goes round."""

from collections.abc import Container, Sequence


def next_in_turn(order: Sequence[int], last: int | None, unavailable: Container[int]) -> int | None:
    """The next member of `order` after `last` who is available, or None where nobody is.

    Goes round to the start, and comes back to `last` only when nobody else is available. With
    no `last`, or one who is no longer in the order, the first available member begins. A
    member listed twice counts once, at the first place.
    """
    ring = list(dict.fromkeys(order))
    start = ring.index(last) + 1 if last is not None and last in ring else 0
    after = ring[start:] + ring[:start]
    return next((member for member in after if member not in unavailable), None)

"""Which idea for a breather comes next, who has time together, and which day has room for it.

Ideas go round: each comes once before any comes again. A round is worked out anew from what was
offered before, so nothing else has to be kept, and ideas may be added or put away at any time.
The order within a round hangs on a seed alone: the same household and week give the same offer.

Rules of the trade: common practice, no source.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from typing import Any, TypeVar

Key = TypeVar("Key", int, tuple[int, int])
Pair = tuple[int, int]


def chance(seed: str, key: object) -> str:
    """A number that looks like chance and is the same on every machine, as text."""
    return hashlib.sha256(f"{seed} {key}".encode()).hexdigest()


def still_fresh(every: Collection[Key], before: Iterable[Key]) -> set[Key]:
    """What has not come in the round that goes on; all of it when a round is through.

    before: what was offered, oldest first; what is not among `every` any more does not count.
    """
    whole = set(every)
    had: set[Key] = set()
    for key in before:
        if key in whole:
            had.add(key)
        if had == whole:
            had.clear()
    return whole - had


def next_of(
    every: Collection[Key],
    before: Sequence[Key],
    seed: str,
    *,
    possible: Collection[Key] | None = None,
    passed: Collection[Key] = (),
    rank: Callable[[Key], Any] = lambda key: 0,
) -> Key | None:
    """The one to offer next, or None where none is possible.

    possible: those that may be offered now (who is away cannot be one of a pair); None for all.
    passed: those that were turned down for this time; they come later in the round.
    rank: the lowest go first, before chance decides.
    Where the round has nothing possible left, the one that waited longest comes.
    """
    open_now = {key for key in every if possible is None or key in possible}
    choice = open_now - set(passed)
    if not choice:
        return None
    last_at = {key: place for place, key in enumerate(before)}
    fresh = choice & still_fresh(every, before)
    if not fresh:
        return min(choice, key=lambda key: (last_at.get(key, -1), chance(seed, key)))
    # At the turn of a round the last one would come twice running.
    again = {before[-1]} if before else set()
    return min(fresh - again or fresh, key=lambda key: (rank(key), chance(seed, key)))


def pairs_of(members: Iterable[int]) -> list[Pair]:
    """Every two of these people, each pair once, the lower id first."""
    return list(combinations(sorted(set(members)), 2))


def next_pair(
    members: Collection[int],
    before: Sequence[Pair],
    seed: str,
    *,
    here: Collection[int] | None = None,
    passed: Collection[Pair] = (),
) -> Pair | None:
    """Who has time for two next: all pairs come round, and first those who waited longest.

    here: those who are at home for some of the week; None for everybody.
    """
    every = pairs_of(members)
    last_at: dict[int, int] = {}
    for place, pair in enumerate(before):
        last_at.update(dict.fromkeys(pair, place))

    def waited(pair: Pair) -> tuple[int, int]:
        times = sorted(last_at.get(member, -1) for member in pair)
        return times[1], times[0]

    possible = None if here is None else [pair for pair in every if set(pair) <= set(here)]
    return next_of(every, before, seed, possible=possible, passed=passed, rank=waited)


# How long something takes that says nothing of it: common practice, no source.
USUAL_MINUTES = 20


@dataclass(frozen=True, slots=True)
class DayRoom:
    """What one person has on one day: minutes left, None where their time is not planned."""

    away: bool = False
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Shared:
    """What some people have of one day in common.

    at_home: how many are there. planned: for how many of them the free minutes are known.
    fitting: minutes of the thing that fit into what each of those has left, summed up; `room`
    all that they have left.
    """

    day: date
    at_home: int
    planned: int
    fitting: int
    room: int


def shared_day(people: Sequence[Mapping[date, DayRoom]], day: date, minutes: int) -> Shared:
    """One day of these people, for something that takes `minutes`."""
    here = [person[day] for person in people if not person[day].away]
    left = [room.minutes for room in here if room.minutes is not None]
    return Shared(day, len(here), len(left), sum(min(each, minutes) for each in left), sum(left))


def best_day(
    people: Sequence[Mapping[date, DayRoom]],
    days: Iterable[date],
    minutes: int | None,
    *,
    least: int = 1,
) -> date | None:
    """The day with the most room for all of these people, or None where no day has any.

    Days on which more of them are at home come first, then those on which more of it fits into
    what they have left, then those with more left, then the earlier ones. Free minutes are what
    people have for the household's work, so a thing may take longer and still have its day. At
    least `least` people must be at home. With nobody's time planned any day would do, so none
    is chosen.
    """
    wanted = minutes or USUAL_MINUTES
    found = [shared_day(people, day, wanted) for day in days]
    with_room = [each for each in found if each.at_home >= least and each.fitting > 0]
    best = min(
        with_room,
        key=lambda each: (-each.at_home, -each.fitting, -each.room, each.day),
        default=None,
    )
    return best.day if best else None

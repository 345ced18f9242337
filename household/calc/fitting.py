"""Fitting a week to the strength there is: what runs, what runs lighter, and what waits.

An exact multiple-choice knapsack: each job takes one of its options, the minutes must fit, and
the importance kept is the most possible. Jobs for health and safety never wait; where even they
do not fit, the minutes that are too many are named. Units: whole minutes, importance in points.

The recursion over minutes is Bellman's; the problem and its name: H. Kellerer, U. Pferschy,
D. Pisinger, Knapsack Problems (Springer 2004), chapter 11.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from math import gcd, inf
from typing import Literal

from household.calc import programme
from household.calc.programme import Programme, SolverTrouble, solver

Way = Literal["as planned", "lighter", "wait"]


@dataclass(frozen=True, slots=True)
class Option:
    """One way of running a job: how long it takes, and how much of its importance it keeps."""

    way: Way
    minutes: int
    worth: int


@dataclass(frozen=True, slots=True)
class Job:
    """A job of the week; the first option is as planned. `must` jobs have no option to wait.

    `may` are the members who may do it; with one pooled capacity it is not looked at.
    """

    id: str
    options: tuple[Option, ...]
    must: bool = False
    may: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.options:
            raise ValueError(f"job {self.id} has no option")
        if any(option.minutes < 0 or option.worth < 0 for option in self.options):
            raise ValueError(f"job {self.id}: minutes and worth must not be below 0")
        if self.must and any(option.way == "wait" for option in self.options):
            raise ValueError(f"job {self.id} is for health or safety and cannot wait")


@dataclass(frozen=True, slots=True)
class Fitted:
    """What was chosen: option (and member, where free time is per member) by job.

    `too_many` are minutes of must-keep jobs beyond the free time: 0 when everything chosen fits.
    `proven` means nothing keeps more importance; `bound` is what nothing goes above.
    """

    chosen: Mapping[str, Option]
    member: Mapping[str, str]
    lightened: tuple[str, ...]
    waiting: tuple[str, ...]
    minutes: int
    free: int
    worth: int
    worth_planned: int
    too_many: int
    proven: bool
    bound: int


def job(
    id: str,
    *,
    minutes: int,
    importance: int,
    lighter: int | None = None,
    must: bool = False,
    may: Sequence[str] = (),
) -> Job:
    """A job with the usual options; run lighter it keeps six tenths of its importance.

    The six tenths are common practice, no source: a default, to be changed by building a Job.
    """
    options = [Option("as planned", minutes, 10 * importance)]
    if lighter is not None and lighter < minutes:
        options.append(Option("lighter", lighter, 6 * importance))
    if not must:
        options.append(Option("wait", 0, 0))
    return Job(id, tuple(options), must, tuple(may))


def at_strength(free: int, percent: int) -> int:
    """Minutes there are at a strength of `percent`, rounded down; ValueError below 0 percent."""
    if percent < 0:
        raise ValueError("strength must not be below 0 percent")
    return free * percent // 100


def bare_minimum(jobs: Sequence[Job], free: int) -> Fitted:
    """Only what health and safety need, in its lightest form; everything else waits."""
    chosen = {}
    for each in jobs:
        wait = next((option for option in each.options if option.way == "wait"), None)
        lightest = min(each.options, key=lambda option: (option.minutes, -option.worth))
        chosen[each.id] = lightest if each.must or wait is None else wait
    return _fitted(jobs, chosen, {}, free, proven=True)


def fit(jobs: Sequence[Job], free: int) -> Fitted:
    """The choice that keeps most importance within `free` minutes for the household together.

    Exact, by a dynamic programme over minutes. Between choices of the same worth the one with
    fewer minutes is taken, then the one that leaves earlier jobs (by id) as planned.
    """
    ordered = sorted(jobs, key=lambda each: each.id)
    least = sum(min(option.minutes for option in each.options) for each in ordered)
    step = reduce(gcd, (o.minutes for each in ordered for o in each.options), 0) or 1
    room = max(free, least) // step
    room = min(room, sum(max(o.minutes for o in each.options) for each in ordered) // step)
    # A point of worth outweighs all minutes together, so fewer minutes only break ties.
    scale = 1 + sum(max(option.minutes for option in each.options) for each in ordered)
    nothing = -1 - scale * (1 + sum(max(o.worth for o in each.options) for each in ordered))
    best = [0] * (room + 1)
    picks: list[list[int]] = []
    for each in reversed(ordered):
        best, pick = _add(each, best, step, scale, nothing)
        picks.append(pick)
    chosen = {}
    left = room
    for each, pick in zip(ordered, reversed(picks), strict=True):
        chosen[each.id] = each.options[pick[left]]
        left -= chosen[each.id].minutes // step
    return _fitted(ordered, chosen, {}, free, proven=True)


def _add(
    each: Job, best: list[int], step: int, scale: int, nothing: int
) -> tuple[list[int], list[int]]:
    new = [nothing] * len(best)
    pick = [0] * len(best)
    for k, option in enumerate(each.options):
        size, gain = option.minutes // step, option.worth * scale - option.minutes
        for room in range(size, len(best)):
            if best[room - size] > nothing and best[room - size] + gain > new[room]:
                new[room] = best[room - size] + gain
                pick[room] = k
    return new, pick


def fit_members(jobs: Sequence[Job], free: Mapping[str, int], *, seconds: float = 10.0) -> Fitted:
    """The same with free minutes for each member: chooses who runs each job, too.

    Where every job has one member who may, each member is an own knapsack and no solver is
    needed. Otherwise HiGHS proves the choice; without it, jobs are placed greedily, not proven.
    ValueError for a must-keep job that nobody may do.
    """
    ordered = sorted(jobs, key=lambda each: each.id)
    for each in ordered:
        if each.must and not set(each.may) & set(free):
            raise ValueError(f"nobody may do {each.id}")
    if all(len(set(each.may) & set(free)) <= 1 for each in ordered):
        return _fit_each(ordered, free)
    if solver() is not None:
        try:
            return _fit_solved(ordered, free, seconds)
        except SolverTrouble:
            return _fit_greedy(ordered, free)
    return _fit_greedy(ordered, free)


def _fit_each(jobs: Sequence[Job], free: Mapping[str, int]) -> Fitted:
    chosen: dict[str, Option] = {}
    member: dict[str, str] = {}
    for id, minutes in sorted(free.items()):
        own = [each for each in jobs if id in each.may]
        chosen |= fit(own, minutes).chosen
        member |= {each.id: id for each in own if chosen[each.id].way != "wait"}
    chosen |= {each.id: _idle(each) for each in jobs if each.id not in chosen}
    return _fitted(jobs, chosen, member, free, proven=True)


def _idle(each: Job) -> Option:
    return next((option for option in each.options if option.way == "wait"), Option("wait", 0, 0))


def _fit_greedy(jobs: Sequence[Job], free: Mapping[str, int]) -> Fitted:
    left = dict(free)
    chosen: dict[str, Option] = {}
    member: dict[str, str] = {}
    order = sorted(
        jobs,
        key=lambda each: (
            not each.must,
            -max(option.worth / max(1, option.minutes) for option in each.options),
            each.id,
        ),
    )
    for each in order:
        who = max(sorted(set(each.may) & set(free)), key=lambda id: left[id], default=None)
        fitting = [o for o in each.options if who is not None and o.minutes <= left[who]]
        if fitting:
            option = max(fitting, key=lambda o: (o.worth, -o.minutes))
        else:
            option = min(each.options, key=lambda o: o.minutes) if each.must else _idle(each)
        chosen[each.id] = option
        if who is not None and option.way != "wait":
            left[who] -= option.minutes
            member[each.id] = who
    return _fitted(jobs, chosen, member, free, proven=False)


def _fit_solved(jobs: Sequence[Job], free: Mapping[str, int], seconds: float) -> Fitted:
    made = Programme()
    columns: dict[int, tuple[Job, Option, str | None]] = {}
    loads: dict[str, list[tuple[int, float]]] = {id: [] for id in free}
    for each in jobs:
        able = sorted(set(each.may) & set(free))
        own = []
        for option in each.options if able else ():
            for id in [None] if option.way == "wait" else able:
                column = made.column(0, 0, 1, whole=True)
                columns[column] = (each, option, id)
                own.append((column, 1.0))
                if id is not None:
                    loads[id].append((column, float(option.minutes)))
        if own:
            made.row(own, 1, 1)
    beyond = []
    for id, minutes in sorted(free.items()):
        over = made.column(1, 0, inf)
        beyond.append((over, 1.0))
        made.row([*loads[id], (over, -1.0)], -inf, minutes)
    # First the fewest minutes too many, then the most importance with those: one aim holding
    # both would need factors so large that the solver's tolerances show.
    least = programme.solve(made, seconds=seconds)
    if least.values is None:
        return _fit_greedy(jobs, free)
    made.row(beyond, -inf, round(least.objective))
    for column, (_, option, _) in columns.items():
        made.cost[column] = -option.worth
    for over, _ in beyond:
        made.cost[over] = 0
    start = [round(value) for value in least.values[: len(columns)]]
    most = programme.solve(made, seconds=seconds, start=start)
    if most.values is None:
        return _fit_greedy(jobs, free)
    chosen, member = {}, {}
    for column, (each, option, id) in columns.items():
        if most.values[column] > 0.5:
            chosen[each.id] = option
            if id is not None:
                member[each.id] = id
    chosen |= {each.id: _idle(each) for each in jobs if each.id not in chosen}
    return _fitted(jobs, chosen, member, free, proven=least.proven and most.proven)


def _fitted(
    jobs: Sequence[Job],
    chosen: Mapping[str, Option],
    member: Mapping[str, str],
    free: int | Mapping[str, int],
    *,
    proven: bool,
) -> Fitted:
    minutes = sum(option.minutes for option in chosen.values())
    worth = sum(option.worth for option in chosen.values())
    planned = sum(each.options[0].worth for each in jobs)
    if isinstance(free, int):
        too_many, room = max(0, minutes - free), free
    else:
        room = sum(free.values())
        loads = dict.fromkeys(free, 0)
        for id, who in member.items():
            loads[who] += chosen[id].minutes
        too_many = sum(max(0, loads[id] - free[id]) for id in free)
    return Fitted(
        chosen=dict(chosen),
        member=dict(member),
        lightened=tuple(e.id for e in jobs if chosen[e.id].way == "lighter"),
        waiting=tuple(e.id for e in jobs if chosen[e.id].way == "wait"),
        minutes=minutes,
        free=room,
        worth=worth,
        worth_planned=planned,
        too_many=too_many,
        proven=proven,
        bound=worth if proven else sum(max(o.worth for o in e.options) for e in jobs),
    )

"""Made-up weeks to measure the share-out on: 48 of them, always the same for the same seed.

Households of 2 to 8 members with 20 to 250 tasks, half of them fresh and half re-planned after
something changed (someone away, free time lost, tasks added); minutes are multiples of five or
not. All values are invented; shapes follow the three published weeks in tests/data/share_out.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

SETTLED = Path(__file__).with_name("settled.json")

DAILY = [[day] for day in range(7)]
FOUR = [[0, 1], [2, 3], [4], [5, 6]]
THREE = [[0, 1], [2, 3, 4], [5, 6]]
TWO = [[0, 1, 2, 3], [4, 5, 6]]
SKILLS = ("admin", "cook", "drive", "garden", "pets")


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of chore: how long, how often, from which age, with which skill."""

    minutes: int
    windows: list[list[int]] | None
    age: int = 0
    skill: str | None = None


KINDS = (
    Kind(20, DAILY, 10),
    Kind(15, DAILY),
    Kind(20, DAILY, 8),
    Kind(10, DAILY),
    Kind(30, DAILY, 12, "cook"),
    Kind(15, DAILY),
    Kind(45, FOUR, 18, "drive"),
    Kind(25, THREE),
    Kind(30, THREE, 10),
    Kind(40, TWO, 12),
    Kind(35, None, 18, "admin"),
    Kind(30, TWO),
    Kind(35, None, 8),
    Kind(30, None, 14),
    Kind(60, None, 18, "drive"),
    Kind(15, THREE),
    Kind(30, None, 16, "admin"),
    Kind(20, TWO),
    Kind(10, DAILY),
    Kind(60, None, 16),
    Kind(20, FOUR, 8),
    Kind(45, TWO, 14),
    Kind(10, THREE),
    Kind(20, DAILY, 10, "pets"),
    Kind(100, None, 18, "garden"),
)
SIZES = (
    *(
        (n, tasks)
        for n, tasks in ((2, 20), (2, 40), (3, 45), (3, 70), (4, 80), (4, 100))
        for _ in range(4)
    ),
    *((n, tasks) for n, tasks in ((5, 120), (6, 160), (8, 200), (8, 250)) for _ in range(6)),
)


def weeks() -> list[dict[str, Any]]:
    """The 48 weeks of the benchmark: every other one re-planned, every third pair uneven."""
    return [
        week(members=n, tasks=tasks, replan=i % 2 == 1, coarse=i // 2 % 3 != 1, seed=1000 + i)
        for i, (n, tasks) in enumerate(SIZES)
    ]


def week(
    *, members: int, tasks: int, replan: bool, coarse: bool, seed: int, settled: bool = True
) -> dict[str, Any]:
    """One week in the neutral form, without targets (they follow from weights and balances).

    Re-planned weeks start from the plan in settled.json, which `share_out` made in ten seconds
    before the disturbance; it is kept so that the weeks stay the same when the search changes.
    With `settled` false the week is as it was before that.
    """
    random = Random(seed)
    people = [_member(random, i) for i in range(members)]
    jobs = _tasks(random, people, tasks, coarse)
    _give_free_time(random, people, sum(job["minutes"] for job in jobs))
    name = f"{members}x{tasks}-{'replan' if replan else 'fresh'}-{seed}"
    if replan and settled:
        _settle(name, jobs)
        _disturb(random, people, jobs)
    return {"schema": "week to share out, 1", "id": name, "members": people, "tasks": jobs}


def _member(random: Random, i: int) -> dict[str, Any]:
    age = random.randint(25, 70) if i < 2 else random.choice((9, 11, 13, 15, 17, 24, 40, 68))
    skills = [s for s in SKILLS if random.random() < (0.85 if age >= 18 else 0.5)]
    if i == 0:
        skills = list(SKILLS)
    return {
        "id": f"m{i + 1}",
        "age": age,
        "skills": skills,
        "weight": random.choice((3, 4, 5)) if age >= 18 else random.choice((1, 2, 3)),
        "balance": 0,
        "dislike": {f"k{k:02}": random.choice((1, 1, 2, 2, 2, 3, 3, 4, 5)) for k in range(25)},
        "capacity": [0] * 7,
    }


def _tasks(
    random: Random, people: list[dict[str, Any]], count: int, coarse: bool
) -> list[dict[str, Any]]:
    jobs: list[dict[str, Any]] = []
    order: list[int] = []
    while len(jobs) < count:
        if not order:
            order = random.sample(range(len(KINDS)), len(KINDS))
        k = order.pop()
        kind = KINDS[k]
        minutes = round(kind.minutes * random.uniform(0.7, 1.4))
        if coarse:
            minutes = max(5, 5 * round(minutes / 5))
        may = [
            p["id"]
            for p in people
            if p["age"] >= kind.age and (kind.skill is None or kind.skill in p["skills"])
        ]
        once = random.choice(([5, 6], list(range(7)), [random.randrange(7)]))
        for days in kind.windows or [once]:
            jobs.append(_task(random, len(jobs), k, max(3, minutes), days, may))
    for job in (jobs := jobs[:count]):
        job["last_member"] = random.choice(job["eligible"]) if job["stay"] else None
    balances = [5 * random.randint(-12, 12) for _ in people[1:]]
    for person, balance in zip(people, [-sum(balances), *balances], strict=True):
        person["balance"] = balance
    return jobs


def _task(
    random: Random, i: int, kind: int, minutes: int, days: list[int], may: list[str]
) -> dict[str, Any]:
    eligible = [id for id in may if random.random() < 0.9] or [random.choice(may)]
    return {
        "id": f"t{i + 1:03}",
        "minutes": minutes,
        "kind": f"k{kind:02}",
        "days": list(days),
        "eligible": eligible,
        "fixed_member": random.choice(eligible) if random.random() < 0.08 else None,
        "last_member": None,
        "stay": random.random() < 0.18,
        "published": None,
    }


def _give_free_time(random: Random, people: list[dict[str, Any]], work: int) -> None:
    share = [p["weight"] * random.uniform(0.7, 1.3) for p in people]
    whole = work * random.uniform(0.75, 1.15)
    for person, part in zip(people, share, strict=True):
        daily = [random.uniform(0.6, 1.2) * (1.4 if day > 4 else 1.0) for day in range(7)]
        scale = whole * part / sum(share) / sum(daily)
        person["capacity"] = [5 * round(scale * much / 5) for much in daily]


def _settle(name: str, jobs: list[dict[str, Any]]) -> None:
    for job in jobs:
        who, day = _settled_plans()[name][job["id"]]
        job["published"] = {"member": who, "day": day}


@cache
def _settled_plans() -> dict[str, dict[str, tuple[str, int]]]:
    plans: dict[str, dict[str, tuple[str, int]]] = json.loads(SETTLED.read_text())
    return plans


def _disturb(random: Random, people: list[dict[str, Any]], jobs: list[dict[str, Any]]) -> None:
    away = random.choice(people)
    first = random.randrange(6)
    for day in (first, first + 1):
        away["capacity"][day] = 0
    for person in people:
        for day in range(7):
            if random.random() < 0.1:
                person["capacity"][day] = 5 * (person["capacity"][day] // 10)
    for job in jobs:
        if random.random() < 0.07:
            job["published"] = None

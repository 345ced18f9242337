"""Small random problems, and all their plans."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

from household.calc.sharing import Member, Place, Problem, Task, with_targets


def small_problem(seed: int, *, members: int = 3, tasks: int = 6) -> Problem:
    """A week of a few tasks: few enough that every plan can be tried."""
    random = Random(seed)
    ids = [f"m{i}" for i in range(members)]
    people = tuple(
        Member(
            id=id,
            weight=random.randint(1, 5),
            capacity=tuple(random.choice((0, 10, 25, 40)) for _ in range(7)),
            target=0,
            balance=random.randint(-20, 20),
            dislike={kind: random.randint(1, 5) for kind in "abc"},
        )
        for id in ids
    )
    return with_targets(f"small {seed}", people, tuple(_task(random, i, ids) for i in range(tasks)))


def _task(random: Random, i: int, ids: list[str]) -> Task:
    eligible = tuple(sorted(random.sample(ids, random.randint(1, len(ids)))))
    days = tuple(sorted(random.sample(range(7), random.choice((1, 1, 2)))))
    published = Place(random.choice(ids), random.randrange(7)) if random.random() < 0.5 else None
    return Task(
        id=f"t{i}",
        minutes=random.randint(3, 45),
        kind=random.choice("abc"),
        days=days,
        eligible=eligible,
        fixed_member=random.choice(eligible) if random.random() < 0.1 else None,
        last_member=random.choice(ids),
        stay=random.random() < 0.3,
        published=published,
    )


def every_plan(problem: Problem) -> Iterator[dict[str, Place]]:
    """All plans that keep the hard limits."""
    choices = [
        [Place(member, day) for member in task.who_may() for day in task.days]
        for task in problem.tasks
    ]
    for places in product(*choices):
        yield dict(zip((task.id for task in problem.tasks), places, strict=True))

"""Fitting against every choice there is. Importances are made up."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from household.calc import fitting
from household.calc.fitting import (
    Fitted,
    Job,
    Option,
    at_strength,
    bare_minimum,
    fit,
    fit_members,
    job,
)

SEEDS = range(150)


def some_jobs(seed: int, count: int, members: str = "") -> list[Job]:
    random = Random(seed)
    jobs = []
    for i in range(count):
        minutes = random.randint(5, 60)
        jobs.append(
            job(
                f"j{i}",
                minutes=minutes,
                importance=random.randint(1, 9),
                lighter=minutes // 2 if random.random() < 0.6 else None,
                must=random.random() < 0.25,
                may=random.sample(members, random.randint(1, len(members))) if members else (),
            )
        )
    return jobs


def best_pooled(jobs: list[Job], free: int) -> tuple[int, int, int]:
    """(minutes too many, worth, minutes) of the best of all choices."""
    best = None
    for options in product(*(each.options for each in jobs)):
        minutes = sum(option.minutes for option in options)
        found = (max(0, minutes - free), -sum(option.worth for option in options), minutes)
        best = found if best is None else min(best, found)
    assert best is not None
    return best[0], -best[1], best[2]


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_keeps_more_importance_in_the_minutes(seed: int) -> None:
    jobs = some_jobs(seed, 6)
    free = Random(seed).randint(0, 200)
    fitted = fit(jobs, free)
    assert (fitted.too_many, fitted.worth, fitted.minutes) == best_pooled(jobs, free)
    assert fitted.proven
    assert fitted.bound == fitted.worth
    checked(jobs, fitted)


def best_by_member(jobs: list[Job], free: dict[str, int]) -> tuple[int, int]:
    ways = [
        [(o, m) for o in each.options for m in (each.may if o.way != "wait" else ("",))]
        for each in jobs
    ]
    best = (10**9, 0)
    for choice in product(*ways):
        load = dict.fromkeys(free, 0) | {"": 0}
        for option, member in choice:
            load[member] += option.minutes
        over = sum(max(0, load[m] - free[m]) for m in free)
        best = min(best, (over, -sum(option.worth for option, _ in choice)))
    return best[0], -best[1]


@pytest.mark.parametrize("seed", range(60))
def test_nothing_keeps_more_importance_member_by_member(seed: int) -> None:
    jobs = some_jobs(seed, 5, "ab")
    free = {"a": Random(seed).randint(0, 80), "b": Random(-seed).randint(0, 80)}
    fitted = fit_members(jobs, free, seconds=60)
    assert (fitted.too_many, fitted.worth) == best_by_member(jobs, free)
    assert fitted.proven
    checked(jobs, fitted)
    for each in jobs:
        if fitted.chosen[each.id].way != "wait":
            assert fitted.member[each.id] in each.may


@pytest.mark.parametrize("seed", range(40))
def test_each_member_alone_needs_no_solver(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "solver", lambda: None)
    random = Random(seed)
    jobs = [
        Job(each.id, each.options, each.must, (random.choice("ab"),)) for each in some_jobs(seed, 6)
    ]
    free = {"a": random.randint(0, 100), "b": random.randint(0, 100)}
    fitted = fit_members(jobs, free)
    assert (fitted.too_many, fitted.worth) == best_by_member(jobs, free)
    assert fitted.proven


@pytest.mark.parametrize("seed", range(40))
def test_without_a_solver_members_get_a_choice_that_is_not_called_proven(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fitting, "solver", lambda: None)
    jobs = [
        *some_jobs(seed, 5, "ab"),
        job("both", minutes=10, importance=1, may="ab"),
    ]
    free = {"a": 60, "b": 40}
    fitted = fit_members(jobs, free)
    assert not fitted.proven
    assert fitted.worth <= fitted.bound
    assert fitted.too_many >= best_by_member(jobs, free)[0]
    checked(jobs, fitted)


def checked(jobs: list[Job], fitted: Fitted) -> None:
    assert set(fitted.chosen) == {each.id for each in jobs}
    for each in jobs:
        assert fitted.chosen[each.id] in each.options
        assert not (each.must and fitted.chosen[each.id].way == "wait")
    ways = [fitted.chosen[each.id].way for each in jobs]
    assert len(fitted.waiting) == ways.count("wait")
    assert len(fitted.lightened) == ways.count("lighter")


def test_a_week_with_room_stays_as_planned() -> None:
    jobs = some_jobs(1, 8)
    fitted = fit(jobs, 1000)
    assert fitted.worth == fitted.worth_planned
    assert fitted.waiting == fitted.lightened == ()


def test_health_and_safety_stay_even_when_they_do_not_fit() -> None:
    jobs = [
        job("bin", minutes=30, importance=1, must=True),
        job("meal", minutes=60, lighter=20, importance=1, must=True),
        job("windows", minutes=5, importance=9),
    ]
    fitted = fit(jobs, 40)
    assert fitted.too_many == 10
    assert (fitted.waiting, fitted.lightened) == (("windows",), ("meal",))
    assert fit(jobs, 55).chosen["windows"].way == "as planned"


def test_bare_minimum_keeps_only_health_and_safety() -> None:
    jobs = some_jobs(4, 12)
    fitted = bare_minimum(jobs, 1000)
    assert set(fitted.waiting) == {each.id for each in jobs if not each.must}
    assert fitted.minutes == sum(
        min(option.minutes for option in each.options) for each in jobs if each.must
    )


def test_half_the_strength_is_half_the_minutes_rounded_down() -> None:
    assert [at_strength(125, percent) for percent in (0, 50, 100, 120)] == [0, 62, 125, 150]
    with pytest.raises(ValueError, match="strength"):
        at_strength(60, -1)


def test_the_order_of_the_jobs_changes_nothing() -> None:
    jobs = some_jobs(9, 20)
    assert fit(jobs, 200).chosen == fit(jobs[::-1], 200).chosen


def test_a_big_week_is_exact_too() -> None:
    jobs = some_jobs(5, 250)
    free = at_strength(sum(each.options[0].minutes for each in jobs), 50)
    fitted = fit(jobs, free)
    by_member = fit_members(
        [Job(each.id, each.options, each.must, ("a", "b")) for each in jobs],
        {"a": free, "b": 0},
        seconds=60,
    )
    assert fitted.proven
    assert fitted.too_many == 0
    assert by_member.worth == fitted.worth  # found by HiGHS, another way altogether


@pytest.mark.parametrize(
    "broken",
    [
        {"options": ()},
        {"options": (Option("as planned", -1, 1),)},
        {"options": (Option("as planned", 5, 1), Option("wait", 0, 0)), "must": True},
    ],
)
def test_a_job_that_makes_no_sense_is_refused(broken: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="job x"):
        Job("x", **broken)  # type: ignore[arg-type]


def test_a_must_that_nobody_may_do_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="nobody may do gas"):
        fit_members([job("gas", minutes=5, importance=1, must=True)], {"a": 10})

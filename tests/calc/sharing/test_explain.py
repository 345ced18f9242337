"""Why a plan is as it is. The words are our own; the figures come from the checker."""

from dataclasses import replace

import pytest

from household.calc.sharing import (
    EVEN,
    FREE_TIME,
    SHARES,
    Member,
    Problem,
    Rates,
    Solution,
    Task,
    share_out,
    with_targets,
)
from household.calc.sharing.aims import components
from household.calc.sharing.envy import lower_envy
from household.calc.sharing.explain import obstacles, overload, why
from household.calc.sharing.words import (
    envy_words,
    obstacle_words,
    proof_words,
    too_much_words,
    why_words,
)
from tests.calc.sharing.made import small_problem

NAMES = {"n": "Nora", "t": "Theo"}


def task(id: str, minutes: int, may: str, day: int = 0, **more: object) -> Task:
    return Task(id, minutes, "k", (day,), tuple(may), **more)  # type: ignore[arg-type]


def week(*tasks: Task, nora: int = 60, theo: int = 60) -> tuple[Problem, Solution]:
    people = (Member("n", 1, (nora,) * 7, 0), Member("t", 1, (theo,) * 7, 0))
    problem = with_targets("w", people, tasks)
    return problem, share_out(problem, seconds=60)


def test_only_one_who_may() -> None:
    problem, plan = week(task("ladder", 30, "t"), task("desk", 30, "nt"))
    reason = why(problem, plan, "ladder")
    assert (reason.because, reason.others) == ("only one who may", ())
    assert why_words(reason, NAMES) == "Only Theo may do this one."


def test_a_fixed_person() -> None:
    problem, plan = week(task("a", 30, "nt", fixed_member="n"), task("b", 30, "nt"))
    assert why_words(why(problem, plan, "a"), NAMES) == "This one is set aside for Nora."


def test_somebody_else_has_no_room() -> None:
    problem, plan = week(task("a", 30, "nt"), task("b", 30, "nt", day=1), theo=0)
    reason = why(problem, plan, "a")
    assert (reason.because, reason.place.member) == ("free time", "n")
    assert reason.others[0].overload == 30
    assert reason.others[0].extra > 0
    assert why_words(reason, NAMES) == (
        "Theo could, but has no minutes left that day: 30 minutes would not fit."
    )


def test_shares_would_come_apart() -> None:
    problem, plan = week(task("a", 30, "nt"), task("b", 30, "nt", day=1))
    reason = why(problem, plan, "a")
    other = {"n": "Theo", "t": "Nora"}[reason.place.member]
    assert reason.because == "shares"
    assert why_words(reason, NAMES) == (
        f"With {other}, the shares would be 60 minutes further apart."
    )


@pytest.mark.parametrize("seed", range(12))
def test_what_a_change_costs_is_what_the_checker_says(seed: int) -> None:
    problem = small_problem(seed, members=3, tasks=15)
    plan = share_out(problem, seconds=60)
    for each in problem.tasks:
        for other in why(problem, plan, each.id).others:
            changed = components(problem, {**plan.assignment, each.id: other.place})
            value = plan.rates.weigh(changed, len(problem.members))
            assert other.extra == value - plan.value >= 0


def test_an_obstacle_is_found_and_named() -> None:
    ladder = [Task(f"l{i}", 30, "ladder", (i,), ("t",)) for i in range(4)]
    problem, plan = week(*ladder, task("a", 30, "nt", day=5))
    first = obstacles(problem, plan)[0]
    assert (first.limit, first.kind, first.may) == ("who may", "ladder", ("t",))
    assert first.unfairness == 60
    assert obstacle_words(first, NAMES, "the ladder jobs") == (
        "Only Theo may do the ladder jobs; if everybody could, "
        "the shares would be at least 60 minutes closer."
    )


def test_nothing_stands_in_the_way_of_a_perfect_week() -> None:
    problem, plan = week(task("a", 30, "nt"), task("b", 30, "nt"))
    assert obstacles(problem, plan) == ()


def test_what_does_not_fit_comes_with_ways_out() -> None:
    problem, plan = week(task("a", 50, "n"), task("b", 30, "n"), task("c", 80, "t", day=3))
    nora, theo = overload(problem, plan)
    assert (nora.member, nora.day, nora.minutes) == ("n", 0, 20)
    assert nora.leave_out == "b"
    assert {id for id, _ in nora.elsewhere} == {"a", "b"}
    assert all(place.member == "n" and place.day != 0 for _, place in nora.elsewhere)
    assert (theo.minutes, theo.elsewhere) == (20, ())
    assert too_much_words(nora, NAMES, "Monday", "windows") == (
        "Nora has 20 minutes too many on Monday. "
        "It fits with 20 minutes more that day, or another day for a task, or leaving out windows."
    )


def test_proof_in_plain_words() -> None:
    problem, plan = week(task("a", 34, "nt"), task("b", 26, "nt"))
    assert proof_words(problem, plan, NAMES) in {
        "No split of these tasks is fairer: proved. "
        f"The furthest from the agreed share is {name}, 4 minutes {side}."
        for name, side in (("Nora", "over"), ("Nora", "under"))
    }


def test_a_calmer_plan_says_what_is_proved_of_it() -> None:
    problem, plan = week(task("a", 34, "nt"), task("b", 26, "nt"))
    swapped = dict(zip(plan.assignment, reversed(plan.assignment.values()), strict=True))
    calmer = replace(
        plan, assignment=swapped, value=plan.value + 400, gap=0.02, proven=False, limited_by="time"
    )

    def said(fairest: Solution) -> str:
        return proof_words(problem, calmer, NAMES, fairest=fairest)

    assert said(plan).startswith(
        "Within 10 minutes of the fairest split: proved. This way there is less to envy. "
    )
    nearly = replace(plan, bound=plan.bound - plan.rates.minute + 1, proven=False)
    assert said(nearly).startswith("Within 11 minutes of the fairest split: proved. ")
    unknown = replace(nearly, bound=nearly.bound - 1)
    assert said(unknown).startswith("Within 2 % of the best possible. ")
    assert said(calmer).startswith("Within 2 % of the best possible. ")


@pytest.mark.parametrize("rates", [EVEN, FREE_TIME, SHARES])
def test_a_plan_within_a_minute_of_the_bound_says_so(rates: Rates) -> None:
    problem, plan = week(task("a", 34, "nt"), task("b", 26, "nt"))
    near = replace(
        plan, rates=rates, value=plan.bound + rates.minute - 1, limited_by="time", proven=False
    )
    words = "No split of these tasks is fairer by even a minute: proved. "
    assert proof_words(problem, near, NAMES).startswith(words)
    further = replace(near, value=near.value + 1, gap=0.01)
    assert proof_words(problem, further, NAMES).startswith("Within 1 % of the best possible. ")


def envies(problem: Problem, plan: Solution) -> str:
    words = envy_words(problem, plan, NAMES)
    assert words.startswith("Theo may still find Nora’s list lighter. ")
    return words.removeprefix("Theo may still find Nora’s list lighter. ")


def test_no_envy_is_said_so() -> None:
    problem, plan = week(task("a", 30, "nt"), task("b", 30, "nt"))
    assert envy_words(problem, plan, NAMES).startswith("Nobody would rather")


def test_envy_names_the_limits_that_keep_it_kind_by_kind() -> None:
    problem, plan = week(*(task(f"l{i}", 30, "t", day=i) for i in range(4)))
    assert envies(problem, plan) == "Of Theo’s 4 tasks, Nora may not do all."
    problem, plan = week(
        *(task(f"l{i}", 30, "t", day=i) for i in range(3)),
        task("own", 30, "nt", day=3, fixed_member="t"),
        nora=0,
    )
    assert envies(problem, plan) == (
        "Of Theo’s 4 tasks, Nora may not do 3 and 1 is set aside for Theo."
    )
    people = (
        Member("n", 1, (60,) * 7, 0, away=(4, 5, 6)),
        Member("t", 1, (60,) * 7, 0),
    )
    tasks = tuple(task(f"l{i}", 30, "nt", day=i) for i in (4, 5, 6))
    problem = with_targets("w", people, tasks)
    assert envies(problem, share_out(problem, seconds=60)) == (
        "Of Theo’s 3 tasks, all come while Nora is away."
    )


def test_a_limit_that_does_not_keep_the_envy_is_not_named() -> None:
    """One of Theo's tasks is not for Nora, but the others could make up for it; he has them
    because he did less before."""
    people = (
        Member("n", 1, (240,) * 7, 0, balance=60),
        Member("t", 1, (240,) * 7, 0, balance=-60),
    )
    tasks = (task("ladder", 20, "t"), *(task(f"l{i}", 20, "nt", day=i) for i in range(5)))
    problem = with_targets("w", people, tasks)
    plan = share_out(problem, seconds=60)
    assert envies(problem, plan) == (
        "Theo has 60 minutes more this week, to make up for earlier ones."
    )


def test_someone_who_did_more_before_has_the_lighter_list_for_it() -> None:
    people = (
        Member("n", 1, (240,) * 7, 0, balance=90),
        Member("s", 6, (240,) * 7, 0, balance=-45),
        Member("t", 1, (240,) * 7, 0, balance=-45),
    )
    tasks = tuple(task(f"l{i}", 10, "nst", day=i % 7) for i in range(40))
    problem = with_targets("w", people, tasks)
    plan = share_out(problem, seconds=60)
    assert envy_words(problem, plan, {**NAMES, "s": "Sten"}) == (
        "Sten may still find Nora’s list lighter. "
        "Nora has 50 minutes less this week, for work done in earlier ones."
    )


def test_where_no_limit_keeps_it_that_is_not_claimed() -> None:
    """Nora has no free time at all: what keeps the envy is not who may do what."""
    problem, _ = week(*(task(f"l{i}", 30, "nt", day=i) for i in range(4)), nora=0)
    plan = share_out(problem, seconds=60, rates=FREE_TIME)
    assert envies(problem, plan) == (
        "No way was found to even that out within the free time and the shares."
    )


@pytest.mark.parametrize("seed", range(20, 32))
def test_lowering_envy_keeps_overload_and_most_of_the_fairness(seed: int) -> None:
    problem = small_problem(seed, members=4, tasks=24)
    plan = share_out(problem, seconds=60)
    calmer = lower_envy(problem, plan, seconds=20)
    old, new = plan.components, calmer.components
    assert sum(e.excess for e in calmer.envy) <= sum(e.excess for e in plan.envy)
    assert new.overload_minutes <= old.overload_minutes
    assert new.max_share_deviation_minutes <= max(5, old.max_share_deviation_minutes + 10)
    assert new.sum_share_deviation_minutes <= max(20, old.sum_share_deviation_minutes + 10)
    assert calmer.bound == plan.bound

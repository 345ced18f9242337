"""Swaps: offered, agreed, declined, taken back, and what stands against them."""

from __future__ import annotations

import pytest

from household.chores import swapping, ticking
from household.chores.horizon import horizon_of
from household.chores.models import Did, Entry, Swap, SwapState, Task
from household.kit.errors import Conflict, Refused
from household.people.models import Member
from tests.factories import NOW, TODAY, make_chore, make_member, make_task


@pytest.fixture
def two(household, organiser, member) -> tuple[Task, Task]:
    """One task of Marit's, one of Dev's."""
    return (
        make_task(household, "Mow the lawn", member=organiser),
        make_task(household, "Clean the windows", member=member),
    )


def offered(two: tuple[Task, Task], by: Member) -> Swap:
    return swapping.offer(offered=two[0], wanted=two[1], by=by, now=NOW)


def owners(two: tuple[Task, Task]) -> list[int | None]:
    return [Task.objects.get(pk=task.pk).member_id for task in two]


def waiting(member: Member) -> list[Swap]:
    member.refresh_from_db()
    return swapping.swaps_of(member)


def test_the_other_agrees_and_each_has_the_others_task(household, organiser, member, two):
    swap = offered(two, organiser)
    assert waiting(member) == waiting(organiser) == [swap]
    swapping.agree(swap=swap, member=member, now=NOW)
    assert owners(two) == [member.pk, organiser.pk]
    assert waiting(member) == waiting(organiser) == []
    entries = Entry.objects.filter(did=Did.HANDED).order_by("id")
    assert [(e.task.name, e.about_id) for e in entries if e.task] == [
        ("Mow the lawn", member.pk),
        ("Clean the windows", organiser.pk),
    ]


def test_the_other_declines_and_nothing_changes(organiser, member, two):
    swap = offered(two, organiser)
    swapping.decline(swap=swap, member=member, now=NOW)
    swap.refresh_from_db()
    assert (swap.state, swap.answered_at) == (SwapState.DECLINED, NOW)
    assert owners(two) == [organiser.pk, member.pk]
    assert waiting(member) == []


def test_who_asked_can_take_it_back(organiser, member, two):
    swapping.withdraw(swap=offered(two, organiser), member=organiser, now=NOW)
    assert waiting(member) == waiting(organiser) == []


def test_nobody_else_can_answer(household, organiser, member, two):
    swap = offered(two, organiser)
    third = make_member(household, "Ilse")
    for act, who in [
        (swapping.agree, organiser),
        (swapping.agree, third),
        (swapping.decline, organiser),
        (swapping.withdraw, member),
    ]:
        with pytest.raises(Conflict):
            act(swap=swap, member=who, now=NOW)
    assert owners(two) == [organiser.pk, member.pk]


def test_agreeing_twice_swaps_once(organiser, member, two):
    swap = offered(two, organiser)
    swapping.agree(swap=swap, member=member, now=NOW)
    with pytest.raises(Conflict):
        swapping.agree(swap=swap, member=member, now=NOW)
    assert owners(two) == [member.pk, organiser.pk]


def test_offering_the_same_again_is_one_offer(organiser, member, two):
    assert offered(two, organiser) == offered(two, organiser)
    assert Swap.objects.count() == 1


def test_only_ones_own_task_is_offered_and_only_anothers_wanted(household, organiser, member, two):
    own, theirs = two
    pool = make_task(household, "Nobody's")
    for give, want in [(theirs, own), (own, own), (own, pool), (pool, theirs)]:
        with pytest.raises(Refused):
            swapping.offer(offered=give, wanted=want, by=organiser, now=NOW)


def test_a_task_beyond_somebodys_age_is_not_swapped(household, organiser, child):
    ladder = make_chore(
        household, "Gutters", hazards=["ladder"], who="fixed", fixed=organiser
    ).tasks.first()
    easy = make_task(household, "Lay the table", member=child)
    with pytest.raises(Refused, match="because of the ladder"):
        swapping.offer(offered=ladder, wanted=easy, by=organiser, now=NOW)
    with pytest.raises(Refused, match="because of the ladder"):
        swapping.offer(offered=easy, wanted=ladder, by=child, now=NOW)


def test_limits_are_checked_again_when_it_is_agreed(household, organiser, member):
    chore = make_chore(household, "Gutters", who="fixed", fixed=organiser)
    task = chore.tasks.first()
    swap = offered((task, make_task(household, "Easy", member=member)), organiser)
    chore.needs_skill = "ladder"
    chore.save()
    with pytest.raises(Refused):
        swapping.agree(swap=swap, member=member, now=NOW)


@pytest.mark.parametrize("which", [0, 1])
def test_an_offer_ends_when_either_task_is_closed(organiser, member, two, which):
    swap = offered(two, organiser)
    closer = (organiser, member)[which]
    ticking.tick(task=two[which], member=closer, now=NOW, horizon=horizon_of(TODAY))
    assert waiting(member) == []
    with pytest.raises(Conflict):
        swapping.agree(swap=swap, member=member, now=NOW)


def test_an_offer_ends_when_a_task_goes_to_somebody_else(household, organiser, member, two):
    swap = offered(two, organiser)
    ticking.assign(task=two[0], to=make_member(household, "Ilse"), actor=organiser, now=NOW)
    with pytest.raises(Conflict):
        swapping.agree(swap=swap, member=member, now=NOW)


def test_who_has_no_offers_costs_no_query(organiser, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert swapping.swaps_of(organiser) == []

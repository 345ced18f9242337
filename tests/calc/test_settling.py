"""Where an overdue task fits: who has most room, and nobody's day is overfilled."""

from collections import defaultdict

from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.settling import Fit, Late, Room, first_day, fits, lighter_minutes

ANN, BEN, CAY = 1, 2, 3


def late(id: int, minutes: int, may: set[int], holder: int | None = None) -> Late:
    return Late(id, minutes, frozenset(may), holder)


def test_it_goes_to_whoever_has_most_room_on_their_first_day_with_enough():
    rooms = [Room(ANN, (30, 30, 30)), Room(BEN, (10, 20, 90))]
    assert fits([late(7, 20, {ANN, BEN})], rooms) == {7: Fit(BEN, 1)}


def test_only_those_who_may_do_it_are_asked():
    rooms = [Room(ANN, (30, 30)), Room(BEN, (90, 90))]
    assert fits([late(7, 20, {ANN})], rooms) == {7: Fit(ANN, 0)}


def test_it_stays_with_its_person_when_both_have_the_same_room():
    rooms = [Room(ANN, (30,)), Room(BEN, (30,))]
    assert fits([late(7, 20, {ANN, BEN}, holder=BEN)], rooms) == {7: Fit(BEN, 0)}


def test_what_fits_nowhere_is_left_out():
    rooms = [Room(ANN, (30, 30)), Room(BEN, (0, -10))]
    assert fits([late(7, 40, {ANN, BEN}), late(8, 5, set())], rooms) == {}


def test_older_tasks_take_room_from_newer_ones():
    rooms = [Room(ANN, (30, 30))]
    tasks = [late(7, 20, {ANN}), late(8, 20, {ANN}), late(9, 20, {ANN})]
    assert fits(tasks, rooms) == {7: Fit(ANN, 0), 8: Fit(ANN, 1)}


def test_an_overfull_day_does_not_eat_the_room_of_other_days():
    rooms = [Room(ANN, (-200, 40)), Room(BEN, (0, 30))]
    assert fits([late(7, 20, {ANN, BEN})], rooms) == {7: Fit(ANN, 1)}


TASKS = st.lists(
    st.tuples(st.integers(1, 120), st.frozensets(st.sampled_from([ANN, BEN, CAY]))), max_size=12
)
LEFT = st.lists(st.integers(-30, 120), min_size=7, max_size=7).map(tuple)


@settings(max_examples=80)
@given(TASKS, LEFT, LEFT, LEFT)
def test_nobody_goes_over_the_minutes_they_have(tasks, ann, ben, cay):
    rooms = [Room(ANN, ann), Room(BEN, ben), Room(CAY, cay)]
    listed = [Late(i, minutes, may, None) for i, (minutes, may) in enumerate(tasks)]
    used: defaultdict[tuple[int, int], int] = defaultdict(int)
    for task, fit in fits(listed, rooms).items():
        assert fit.member in listed[task].may
        used[fit.member, fit.day] += listed[task].minutes
    left = {room.id: room.left for room in rooms}
    assert all(left[member][day] >= minutes for (member, day), minutes in used.items())


def test_the_first_day_with_room():
    assert first_day(20, (0, 19, 20, 60)) == 2
    assert first_day(20, (0, 0)) is None


def test_lighter_work_takes_half_in_steps_of_five():
    # A rule of our own (common practice, no source): 45 -> 20, 30 -> 15, 10 -> 5, 5 -> 5, 3 -> 3.
    assert [lighter_minutes(minutes) for minutes in (45, 30, 10, 5, 3)] == [20, 15, 5, 5, 3]


@given(st.integers(1, 1440))
def test_lighter_is_never_longer_and_never_nothing(minutes: int):
    assert 1 <= lighter_minutes(minutes) <= minutes

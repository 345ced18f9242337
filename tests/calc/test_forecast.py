"""Minutes due against minutes free. The rules are our own; the checks are counted by hand."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.forecast import DueWindow, MemberLoad, MemberTime, WeekLoad, forecast
from household.calc.free_time import Absence

MONDAY = date(2026, 12, 7)
ANA, BEA = 1, 2
HOUR_A_DAY = (60,) * 7
HALF_HOUR_A_DAY = (30,) * 7
BOTH = frozenset({ANA, BEA})


def one(member: int) -> frozenset[int]:
    return frozenset({member})


def test_a_window_counts_in_the_week_it_closes() -> None:
    due = [
        DueWindow(date(2026, 12, 13), 20, one(ANA)),
        DueWindow(date(2026, 12, 14), 35, one(ANA)),
    ]
    found = forecast([MemberTime(ANA, HOUR_A_DAY)], due, today=MONDAY, weeks=2)
    assert [(week.first, week.last, week.due) for week in found] == [
        (date(2026, 12, 7), date(2026, 12, 13), 20),
        (date(2026, 12, 14), date(2026, 12, 20), 35),
    ]


def test_an_overdue_task_counts_in_the_first_week_and_a_distant_one_not_at_all() -> None:
    due = [
        DueWindow(date(2026, 11, 2), 15, one(ANA)),
        DueWindow(date(2026, 12, 21), 99, one(ANA)),
    ]
    found = forecast([MemberTime(ANA, HOUR_A_DAY)], due, today=MONDAY, weeks=2)
    assert [week.due for week in found] == [15, 0]


def test_free_minutes_count_from_today_and_not_when_away() -> None:
    away = Absence(date(2026, 12, 12), date(2026, 12, 14))
    ana = MemberTime(ANA, (10, 20, 30, 40, 50, 60, 70), (away,))
    thursday = date(2026, 12, 10)
    found = forecast([ana], [], today=thursday, weeks=2)
    assert [week.free for week in found] == [40 + 50, 20 + 30 + 40 + 50 + 60 + 70]


def test_weeks_begin_on_the_first_day_of_the_household() -> None:
    found = forecast([], [], today=MONDAY, weeks=1, week_start=6)
    assert (found[0].first, found[0].last) == (date(2026, 12, 6), date(2026, 12, 12))


@pytest.mark.parametrize(
    ("factor", "free"), [(Fraction(1), 420), (Fraction(0), 360), (Fraction(3, 2), 450)]
)
def test_a_public_holiday_may_give_more_or_less_time(factor: Fraction, free: int) -> None:
    holidays = [date(2026, 12, 8), date(2026, 12, 25)]
    found = forecast(
        [MemberTime(ANA, HOUR_A_DAY)],
        [],
        today=MONDAY,
        weeks=1,
        holidays=holidays,
        holiday_factor=factor,
    )
    assert found[0].free == free


def test_pool_tasks_go_by_the_minutes_left_after_what_is_assigned() -> None:
    # Ana has 420 - 270 = 150 left, Bea 210 - 160 = 50: the 80 go three to one.
    due = [
        DueWindow(MONDAY, 270, one(ANA)),
        DueWindow(MONDAY, 160, one(BEA)),
        DueWindow(MONDAY, 80, eligible=BOTH),
    ]
    members = [MemberTime(ANA, HOUR_A_DAY), MemberTime(BEA, HALF_HOUR_A_DAY)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert week.members == (MemberLoad(ANA, 330, 420), MemberLoad(BEA, 180, 210))


def test_tasks_that_fewer_can_do_are_placed_first() -> None:
    due = [DueWindow(MONDAY, 200, eligible=BOTH), DueWindow(MONDAY, 300, eligible=one(ANA))]
    members = [MemberTime(ANA, HOUR_A_DAY), MemberTime(BEA, HALF_HOUR_A_DAY)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    # Left are 120 and 210 minutes: 200 x 120 / 330 = 72.7.
    assert [member.due for member in week.members] == [373, 127]


def test_an_assigned_task_is_not_spread_over_those_who_might_do_it() -> None:
    due = [DueWindow(MONDAY, 50, one(ANA), BOTH)]
    members = [MemberTime(ANA, HOUR_A_DAY), MemberTime(BEA, HOUR_A_DAY)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert [member.due for member in week.members] == [50, 0]


def test_without_minutes_left_the_pool_goes_by_minutes_free() -> None:
    due = [
        DueWindow(MONDAY, 420, one(ANA)),
        DueWindow(MONDAY, 210, one(BEA)),
        DueWindow(MONDAY, 30, eligible=BOTH),
    ]
    members = [MemberTime(ANA, HOUR_A_DAY), MemberTime(BEA, HALF_HOUR_A_DAY)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert [member.due for member in week.members] == [440, 220]


def test_without_any_free_minutes_the_pool_is_split_equally() -> None:
    due = [DueWindow(MONDAY, 31, eligible=BOTH)]
    members = [MemberTime(ANA, (0,) * 7), MemberTime(BEA, (0,) * 7)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert [member.due for member in week.members] == [16, 15]
    assert all(member.tight for member in week.members)


def test_a_task_that_nobody_may_do_is_due_but_unplaced() -> None:
    due = [DueWindow(MONDAY, 25), DueWindow(MONDAY, 5, one(99))]
    (week,) = forecast([MemberTime(ANA, HOUR_A_DAY)], due, today=MONDAY, weeks=1)
    assert (week.due, week.unplaced) == (30, 30)
    assert [member.due for member in week.members] == [0]


def test_a_member_may_be_short_of_time_where_the_household_is_not() -> None:
    due = [DueWindow(MONDAY, 250, one(BEA))]
    members = [MemberTime(ANA, HOUR_A_DAY), MemberTime(BEA, HALF_HOUR_A_DAY)]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert not week.tight
    assert [(member.spare, member.tight) for member in week.members] == [(420, False), (-40, True)]


@pytest.mark.parametrize(
    ("due", "words", "tight"),
    [
        (515, "Week of 7 December: 95 minutes more than there is time for.", True),
        (421, "Week of 7 December: 1 minute more than there is time for.", True),
        (420, "Week of 7 December: just enough time.", False),
        (380, "Week of 7 December: 40 minutes to spare.", False),
    ],
)
def test_a_week_says_in_words_whether_there_is_time(due: int, words: str, tight: bool) -> None:
    (week,) = forecast(
        [MemberTime(ANA, HOUR_A_DAY)], [DueWindow(MONDAY, due, one(ANA))], today=MONDAY, weeks=1
    )
    assert (week.words, week.tight) == (words, tight)


MEMBERS = st.lists(
    st.builds(
        MemberTime,
        st.integers(1, 5),
        st.tuples(*[st.integers(0, 120)] * 7),
        st.just(()) | st.just((Absence(MONDAY, MONDAY + timedelta(days=9)),)),
    ),
    max_size=5,
    unique_by=lambda each: each.member,
)
IDS = st.frozensets(st.integers(1, 6), max_size=4)
WINDOWS = st.lists(
    st.builds(
        DueWindow,
        st.integers(-20, 40).map(lambda n: MONDAY + timedelta(days=n)),
        st.integers(0, 500),
        st.just(frozenset[int]()) | IDS,
        IDS,
    ),
    max_size=12,
)


def conserved(week: WeekLoad) -> bool:
    placed = sum(member.due for member in week.members)
    free = sum(member.free for member in week.members)
    return week.due == placed + week.unplaced and week.free == free


@given(members=MEMBERS, due=WINDOWS, late=st.integers(0, 6))
@settings(max_examples=200, deadline=None)
def test_no_minute_is_lost_or_made(
    members: list[MemberTime], due: list[DueWindow], late: int
) -> None:
    weeks = forecast(members, due, today=MONDAY + timedelta(days=late), weeks=4)
    assert all(conserved(week) for week in weeks)
    until = MONDAY + timedelta(days=27)
    within = sum(window.minutes for window in due if window.closes <= until)
    assert sum(week.due for week in weeks) == within
    assert all(member.due >= 0 for week in weeks for member in week.members)


@given(members=MEMBERS, due=WINDOWS)
@settings(max_examples=100, deadline=None)
def test_the_order_of_the_tasks_does_not_matter(
    members: list[MemberTime], due: list[DueWindow]
) -> None:
    there = forecast(members, due, today=MONDAY, weeks=3)
    assert there == forecast(members, due[::-1], today=MONDAY, weeks=3)


@given(
    members=MEMBERS.filter(bool),
    minutes=st.lists(st.integers(0, 300), max_size=6),
)
@settings(max_examples=100, deadline=None)
def test_tasks_for_anybody_make_nobody_short_while_there_is_time(
    members: list[MemberTime], minutes: list[int]
) -> None:
    everybody = frozenset(each.member for each in members)
    due = [DueWindow(MONDAY, each, eligible=everybody) for each in minutes]
    (week,) = forecast(members, due, today=MONDAY, weeks=1)
    assert week.tight == any(member.tight for member in week.members)


def test_what_other_calendars_take_comes_off_the_minutes_free() -> None:
    """By hand: an hour a day, 45 minutes taken on Monday and two hours on Tuesday."""
    busy = {date(2026, 12, 7): 45, date(2026, 12, 8): 120}
    (week,) = forecast([MemberTime(ANA, HOUR_A_DAY, busy=busy)], [], today=MONDAY, weeks=1)
    assert week.free == 15 + 0 + 5 * 60

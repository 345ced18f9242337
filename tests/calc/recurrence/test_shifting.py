"""Public holidays and absences. The rules are our own; see the module's page."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from household.calc.recurrence.repeat import (
    Due,
    Kind,
    Repeat,
    Shift,
    Window,
    due_between,
    due_next,
)

quick = settings(derandomize=True, deadline=None, max_examples=150, database=None)
MONDAY = date(2026, 3, 16)


def days(*offsets: int) -> set[date]:
    """Days counted from Monday 16 March 2026."""
    return {MONDAY + timedelta(days=offset) for offset in offsets}


def in_march(day: int) -> date:
    return MONDAY.replace(day=day)


def on(day: date) -> tuple[date, date]:
    return day, day


def daily(**shifts: Shift) -> Repeat:
    return Repeat(Kind.RULE, MONDAY, rule="FREQ=DAILY", **shifts)  # type: ignore[arg-type]


def weekly(**more: object) -> Repeat:
    """Thursdays from 19 March 2026."""
    start = in_march(19)
    return Repeat(Kind.RULE, start, rule="FREQ=WEEKLY;BYDAY=TH", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("shift", "moved"),
    [
        (Shift.KEEP, (in_march(26), in_march(26))),
        (Shift.SKIP, None),
        (Shift.EARLIER, (in_march(24), in_march(24))),
        (Shift.LATER, (in_march(28), in_march(28))),
    ],
)
@pytest.mark.parametrize("reason", ["on_holiday", "on_away"])
def test_a_day_that_is_closed(shift: Shift, moved: tuple[date, date] | None, reason: str) -> None:
    closed = days(9, 10, 11)  # Wednesday 25 to Friday 27 March
    named = "holidays" if reason == "on_holiday" else "away"
    repeat = weekly(**{reason: shift})
    found = due_between(repeat, first=in_march(26), last=in_march(26), **{named: closed})
    assert found == ([] if moved is None else [Due(in_march(26), *moved)])
    following = due_next(repeat, after=in_march(19), **{named: closed})
    assert following is not None
    assert following.occurrence == (in_march(26) if moved else date(2026, 4, 2))


def test_a_task_moves_to_a_day_that_is_neither_holiday_nor_absence() -> None:
    repeat = weekly(on_holiday=Shift.LATER)  # keeps its day in absences
    due = due_next(repeat, after=in_march(19), holidays=days(10), away=days(11, 12))
    assert due == Due(in_march(26), *on(in_march(29)))
    due = due_next(repeat, after=in_march(19), away=days(10, 11, 12))
    assert due == Due(in_march(26), *on(in_march(26)))


def test_an_absence_outranks_a_holiday() -> None:
    closed = days(10)
    repeat = weekly(on_holiday=Shift.EARLIER, on_away=Shift.LATER)
    due = due_next(repeat, after=in_march(19), holidays=closed, away=closed)
    assert due == Due(in_march(26), *on(in_march(27)))


def test_what_would_pile_up_is_dropped() -> None:
    """A fortnight away: the dishes are not done fourteen times on the day of return."""
    away = {MONDAY + timedelta(days=n) for n in range(14)}
    first, last = MONDAY, MONDAY + timedelta(days=20)
    for shift in (Shift.LATER, Shift.EARLIER):
        found = due_between(daily(on_away=shift), first=first, last=last, away=away)
        assert [due.opens for due in found] == [in_march(30) + timedelta(days=n) for n in range(7)]
    # Of two Thursdays away, the second waits for the return on Monday 30 March.
    found = due_between(weekly(on_away=Shift.LATER), first=first, last=last, away=away)
    assert found == [
        Due(in_march(26), *on(in_march(30))),
        Due(date(2026, 4, 2), *on(date(2026, 4, 2))),
    ]


def test_earlier_never_means_before_the_start_or_the_last_time() -> None:
    due = due_next(weekly(on_holiday=Shift.EARLIER), after=None, holidays=days(3))
    assert due == Due(in_march(19), *on(in_march(20)))
    once = Repeat(Kind.ONCE, in_march(19), on_away=Shift.EARLIER)
    assert due_next(once, after=None, away=days(3, 4)) == Due(in_march(19), *on(in_march(21)))
    often = Repeat(Kind.AFTER_DONE, MONDAY, every=2, on_holiday=Shift.EARLIER)
    closed = days(8, 9)
    due = due_next(often, after=None, last_done=in_march(23), holidays=closed)
    assert due == Due(in_march(25), *on(in_march(26)))
    due = due_next(often, after=None, last_done=in_march(23), holidays=days(9))
    assert due == Due(in_march(25), *on(in_march(24)))


def test_a_skipped_after_done_chore_waits_once_more() -> None:
    repeat = Repeat(Kind.AFTER_DONE, MONDAY, every=10, on_holiday=Shift.SKIP)
    due = due_next(repeat, after=None, last_done=MONDAY, holidays=days(10))
    assert due == Due(date(2026, 4, 5), *on(date(2026, 4, 5)))
    once = Repeat(Kind.ONCE, MONDAY, on_holiday=Shift.SKIP)
    assert due_next(once, after=None, holidays=days(0)) is None


def test_a_window_counts_as_closed_only_as_a_whole() -> None:
    week_away = {MONDAY + timedelta(days=n) for n in range(7, 14)}
    second_week = Due(in_march(26), in_march(23), in_march(29))
    for shift, expected in [
        (Shift.KEEP, second_week),
        (Shift.LATER, None),  # next week's own task serves
        (Shift.SKIP, None),
    ]:
        repeat = weekly(on_away=shift, window=Window.WEEK)
        day = in_march(26)
        almost = week_away - {in_march(29)}
        assert due_between(repeat, first=day, last=day, away=almost) == [second_week]
        found = due_between(repeat, first=day, last=day, away=week_away)
        assert found == ([] if expected is None else [expected])


def test_a_whole_week_moves_to_the_nearest_week_with_an_open_day() -> None:
    fortnightly = {
        "rule": "FREQ=WEEKLY;INTERVAL=2;BYDAY=TH",
        "window": Window.WEEK,
        "start": in_march(5),
    }
    away = {MONDAY + timedelta(days=n) for n in range(3, 14)}  # 19 to 29 March
    week_of_19 = {**fortnightly, "kind": Kind.RULE}
    later = Repeat(**week_of_19, on_away=Shift.LATER)  # type: ignore[arg-type]
    due = due_next(later, after=in_march(5), away=away | days(0, 1, 2))
    assert due is not None
    # The week of 30 March has a task of its own, so this one is dropped for it.
    assert due.occurrence == date(2026, 4, 2)
    due = due_next(later, after=in_march(5), away=days(*range(7)))
    assert due == Due(in_march(19), in_march(23), in_march(29))
    earlier = Repeat(**week_of_19, on_away=Shift.EARLIER)  # type: ignore[arg-type]
    due = due_next(earlier, after=in_march(5), away=days(*range(7)))
    assert due == Due(in_march(19), in_march(9), in_march(15))


class Always:
    """An absence without end."""

    def __contains__(self, day: object) -> bool:
        return True


def test_an_absence_without_end_loses_no_task_and_hangs_nothing() -> None:
    assert due_next(daily(on_away=Shift.SKIP), after=None, away=Always()) is None
    for shift in (Shift.LATER, Shift.EARLIER):
        once = Repeat(Kind.ONCE, MONDAY, on_away=shift)
        assert due_next(once, after=None, away=Always()) == Due(MONDAY, *on(MONDAY))


@quick
@given(
    rule=st.sampled_from(
        ["FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,TH", "FREQ=DAILY;INTERVAL=3", "FREQ=MONTHLY"]
    ),
    shift=st.sampled_from([Shift.EARLIER, Shift.LATER]),
    closed=st.sets(st.integers(0, 80)),
)
def test_moved_tasks_stand_on_open_days_in_order_one_a_day(
    rule: str, shift: Shift, closed: set[int]
) -> None:
    repeat = Repeat(Kind.RULE, MONDAY, rule=rule, on_holiday=shift, on_away=shift)
    halves = days(*(n for n in closed if n % 2)), days(*(n for n in closed if not n % 2))
    found = due_between(
        repeat, first=MONDAY, last=MONDAY + timedelta(80), holidays=halves[0], away=halves[1]
    )
    moved = [due.opens for due in found]
    assert moved == sorted(set(moved))
    assert not set(moved) & (halves[0] | halves[1])
    assert all(due.opens == due.closes >= MONDAY for due in found)
    # What was dropped lies in a closed stretch that an open task borders on.
    nominal = {due.occurrence for due in found}
    kept = {
        due.occurrence
        for due in due_between(
            Repeat(Kind.RULE, MONDAY, rule=rule), first=MONDAY, last=MONDAY + timedelta(80)
        )
    }
    assert kept - nominal <= halves[0] | halves[1]


@quick
@given(
    shifts=st.tuples(*[st.sampled_from([Shift.KEEP, Shift.EARLIER, Shift.LATER])] * 2),
    holidays=st.sets(st.integers(0, 30)),
    away=st.sets(st.integers(0, 30)),
)
def test_no_stretch_of_closed_days_leaves_a_daily_chore_undone_for_good(
    shifts: tuple[Shift, Shift], holidays: set[int], away: set[int]
) -> None:
    """Every open day has a task of its own or one moved to it; none goes without."""
    repeat = daily(on_holiday=shifts[0], on_away=shifts[1])
    found = due_between(
        repeat,
        first=MONDAY,
        last=MONDAY + timedelta(60),
        holidays=days(*holidays),
        away=days(*away),
    )
    open_days = {MONDAY + timedelta(n) for n in range(61)} - days(*holidays) - days(*away)
    assert open_days <= {due.opens for due in found}

"""Areas, weekdays and what often stays undone: figures counted by hand."""

from __future__ import annotations

from datetime import date, timedelta

from django.urls import reverse

from household.chores.models import State, Task
from household.overview.rhythms import area_rows, left_out, weekdays
from household.people.models import Absence
from household.people.queries import members_with_absences
from tests.factories import TODAY, make_area, make_chore, make_member, make_task


def done(area, level, days, **fields):
    day = TODAY - timedelta(days=days)
    return make_task(
        area.household, area=area, level=level, state=State.DONE, day=day, done_on=day, **fields
    )


def cells(household) -> list[list[tuple[str, int | None, bool]]]:
    return [
        [(cell.since, cell.of, cell.is_past) for cell in row.cells]
        for row in area_rows(household, TODAY)
    ]


def test_days_since_each_level_of_the_days_set(household):
    kitchen = make_area(household, tidy_days=2, clean_days=7, deep_days=90)
    done(kitchen, "tidy", 2)
    done(kitchen, "clean", 9)
    done(kitchen, "clean", 30)
    assert cells(household) == [[("2", 2, False), ("9", 7, True), ("never", 90, False)]]


def test_a_deeper_level_counts_for_the_lighter_ones(household):
    kitchen = make_area(household)
    done(kitchen, "deep", 0)
    done(kitchen, "tidy", 5)
    assert cells(household) == [
        [("today", None, False), ("today", None, False), ("today", None, False)]
    ]


def test_only_what_is_done_counts_and_only_here(household, outsider):
    kitchen = make_area(household, tidy_days=1)
    make_task(household, area=kitchen, day=TODAY)
    make_task(household, area=kitchen, day=TODAY, state=State.SKIPPED)
    done(make_area(outsider.household), "tidy", 0)
    assert cells(household) == [
        [("never", 1, False), ("never", None, False), ("never", None, False)]
    ]


def test_each_weekday_is_the_average_of_four_weeks(household, organiser):
    organiser.free_minutes = [10, 20, 30, 40, 50, 60, 70]
    organiser.save()
    # The second of the four coming Mondays, which begin on Thursday 12 March, is 23 March.
    Absence.objects.create(member=organiser, starts=date(2026, 3, 23), ends=date(2026, 3, 23))
    make_chore(household, rule="FREQ=WEEKLY;BYDAY=MO", minutes=20)
    make_task(household, minutes=44, opens=TODAY, closes=TODAY + timedelta(days=6), day=None)
    found = weekdays(household, list(members_with_absences(household)), TODAY)
    assert found is not None
    monday, tuesday = found.chart.bars[:2]
    # Due: 20 minutes each Monday. Free: 10 on three Mondays of four is 7 in whole minutes.
    assert (monday.name, monday.done_words, monday.agreed_words) == (
        "Monday",
        "20\N{NO-BREAK SPACE}min",
        "7\N{NO-BREAK SPACE}min",
    )
    assert (tuesday.done_words, tuesday.agreed_words) == (
        "0\N{NO-BREAK SPACE}min",
        "20\N{NO-BREAK SPACE}min",
    )
    assert found.fullest.startswith("Monday is too full")
    assert found.any_day.startswith("Beside this, 11\N{NO-BREAK SPACE}min a week")


def test_the_week_begins_where_the_household_begins_it(household, organiser):
    household.first_weekday = 6
    make_task(household)
    found = weekdays(household, [organiser], TODAY)
    assert found is not None
    assert found.chart.bars[0].name == "Sunday"


def test_a_day_with_room_says_how_much(household, organiser):
    organiser.free_minutes = [60, 60, 60, 45, 60, 60, 60]
    make_task(household, minutes=80)
    found = weekdays(household, [organiser], TODAY)
    assert found is not None
    assert found.fullest == "Every day has room. Thursday has least: 25\N{NO-BREAK SPACE}min."


def test_nothing_due_shows_no_weekdays(household, organiser):
    assert weekdays(household, [organiser], TODAY) is None


def leave(chore, states, *, weeks=1):
    for number, state in enumerate(states):
        day = TODAY - timedelta(weeks=weeks, days=number)
        Task.objects.create(
            household=chore.household,
            chore=chore,
            occurrence=day,
            name=chore.name,
            minutes=5,
            opens=day,
            closes=day,
            state=state,
        )


def test_three_times_in_eight_weeks_is_often(household, organiser):
    often = make_chore(household, "Wipe the hob")
    seldom = make_chore(household, "Sweep")
    before = make_chore(household, "Long ago")
    leave(often, [State.LAPSED, State.LAPSED, State.SKIPPED, State.DONE])
    leave(seldom, [State.SKIPPED, State.LAPSED, State.DONE, State.DONE])
    leave(before, [State.LAPSED] * 9, weeks=9)
    [[found]] = left_out(household, TODAY, changes=True)
    assert (found.name, found.words) == ("Wipe the hob", "let go twice, skipped once")
    assert found.url == reverse("chores:change", args=[household.pk, often.pk])


def test_the_most_often_come_first_and_the_rest_after_a_few(household):
    for number in range(7):
        leave(make_chore(household, f"C{number}"), [State.SKIPPED] * (3 + number))
    few, rest = left_out(household, TODAY, changes=False)
    assert [chore.name for chore in few] == ["C6", "C5", "C4", "C3", "C2"]
    assert [chore.name for chore in rest] == ["C1", "C0"]
    assert {chore.url for chore in (*few, *rest)} == {""}


def test_what_is_put_away_is_not_asked_about(household, now):
    chore = make_chore(household)
    leave(chore, [State.LAPSED] * 5)
    chore.archived_at = now
    chore.save()
    assert left_out(household, TODAY, changes=True) == []


def test_two_members_free_minutes_are_added(household, organiser):
    make_member(household, "Dev", free_minutes=[5] * 7)
    organiser.free_minutes = [10] * 7
    organiser.save()
    make_task(household, minutes=4)
    found = weekdays(household, list(members_with_absences(household)), TODAY)
    assert found is not None
    assert {bar.agreed_words for bar in found.chart.bars} == {"15\N{NO-BREAK SPACE}min"}

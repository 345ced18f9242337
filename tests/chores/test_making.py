"""The making of due tasks: right dates, no doubles, catching up."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from household import daily
from household.calc.recurrence.repeat import Kind, Shift, Unit, Window
from household.chores.models import Chore, State, Task
from household.people.models import Absence
from tests.factories import make_area, make_chore, make_household, make_member

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 12, 8, 0, tzinfo=UTC)  # a Thursday
TODAY = date(2026, 3, 12)


def closes(chore: Chore) -> list[date]:
    return list(chore.tasks.order_by("occurrence").values_list("closes", flat=True))


def test_a_weekly_chore_gets_its_tasks_up_to_the_horizon():
    household = make_household()
    chore = make_chore(household, rule="FREQ=WEEKLY;BYDAY=MO", starts=date(2026, 1, 1))
    daily.run(now=NOW)
    assert closes(chore) == [date(2026, 3, d) for d in (16, 23, 30)] + [date(2026, 4, 6)]


def test_running_again_writes_nothing():
    household = make_household()
    for rule in ("FREQ=DAILY", "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU", "FREQ=MONTHLY;BYMONTHDAY=-1"):
        make_chore(household, rule=rule)
    daily.run(now=NOW)
    before = list(Task.objects.order_by("id").values_list("id", "chore", "occurrence"))
    household.daily_on = None
    household.save(update_fields=["daily_on"])
    assert daily.run(now=NOW).written == 0
    assert list(Task.objects.order_by("id").values_list("id", "chore", "occurrence")) == before


def test_the_next_day_writes_just_the_next_day():
    household = make_household()
    make_chore(household, rule="FREQ=DAILY")
    daily.run(now=NOW)
    assert daily.run(now=NOW + timedelta(days=1)).written == 1


def test_each_household_follows_its_own_midnight():
    late = datetime(2026, 3, 12, 11, 30, tzinfo=UTC)
    auckland = make_household(time_zone="Pacific/Auckland")  # already 13 March there
    lima = make_household(time_zone="America/Lima")
    daily.run(now=late)
    auckland.refresh_from_db()
    lima.refresh_from_db()
    assert (auckland.daily_on, lima.daily_on) == (date(2026, 3, 13), date(2026, 3, 12))


def test_a_month_of_downtime_writes_only_the_last_one_missed():
    household = make_household()
    chore = make_chore(household, rule="FREQ=DAILY", missed="carry")
    daily.run(now=NOW)
    Task.objects.all().delete()
    later = NOW + timedelta(days=60)
    daily.run(now=later)
    days = closes(chore)
    today = later.date()
    assert days == [today + timedelta(days=n) for n in range(-1, 29)]
    assert len(set(days)) == len(days)


def test_any_day_of_the_week_spans_the_households_own_week():
    household = make_household(first_weekday=6)  # weeks begin on Sunday
    chore = make_chore(
        household, rule="FREQ=WEEKLY;BYDAY=WE", window=Window.WEEK, starts=date(2026, 1, 1)
    )
    daily.run(now=NOW)
    task = chore.tasks.order_by("occurrence").first()
    assert (task.opens, task.closes) == (date(2026, 3, 8), date(2026, 3, 14))
    assert task.day is None


def test_turns_go_round_and_pass_over_whoever_is_away():
    household = make_household()
    ana, ben, cai = (make_member(household, name=name) for name in ("Ana", "Ben", "Cai"))
    Absence.objects.create(member=ben, starts=date(2026, 3, 13), ends=date(2026, 3, 14))
    chore = make_chore(household, rule="FREQ=DAILY", who="turns", may=[ana.pk, ben.pk, cai.pk])
    daily.run(now=NOW)
    first = list(chore.tasks.order_by("occurrence").values_list("member__name", flat=True)[:5])
    assert first == ["Ana", "Cai", "Ana", "Ben", "Cai"]


def test_a_chore_of_the_areas_owner_goes_to_the_owner():
    household = make_household()
    owner = make_member(household)
    chore = make_chore(household, who="owner", area=make_area(household, owner=owner))
    daily.run(now=NOW)
    assert set(chore.tasks.values_list("member", flat=True)) == {owner.pk}


def test_a_public_holiday_moves_the_task_as_the_chore_says():
    # Good Friday 2026 is 3 April (England and Wales bank holidays, gov.uk).
    household = make_household(country="GB", subdivision="ENG")
    kept = make_chore(household, rule="FREQ=WEEKLY;BYDAY=FR")
    earlier = make_chore(household, rule="FREQ=WEEKLY;BYDAY=FR", on_holiday=Shift.EARLIER)
    skipped = make_chore(household, rule="FREQ=WEEKLY;BYDAY=FR", on_holiday=Shift.SKIP)
    daily.run(now=NOW)
    assert date(2026, 4, 3) in closes(kept)
    assert date(2026, 4, 2) in closes(earlier) and date(2026, 4, 3) not in closes(earlier)
    assert date(2026, 4, 3) not in closes(skipped)


def test_nothing_is_written_while_all_who_may_do_it_are_away():
    household = make_household()
    ana = make_member(household)
    Absence.objects.create(member=ana, starts=date(2026, 3, 14), ends=date(2026, 3, 20))
    chore = make_chore(household, rule="FREQ=DAILY", may=[ana.pk], on_away=Shift.SKIP)
    daily.run(now=NOW)
    assert not [day for day in closes(chore) if date(2026, 3, 14) <= day <= date(2026, 3, 20)]


def test_a_season_leaves_its_months_out():
    household = make_household()
    chore = make_chore(household, rule="FREQ=WEEKLY;BYDAY=MO", months=[4, 5])
    daily.run(now=NOW)
    assert closes(chore) == [date(2026, 4, 6)]


def test_counted_from_the_last_time_has_one_task_at_a_time():
    household = make_household()
    chore = make_chore(
        household, repeat=Kind.AFTER_DONE, every=10, unit=Unit.DAYS, starts=date(2026, 3, 10)
    )
    daily.run(now=NOW)
    assert closes(chore) == [date(2026, 3, 10)]


def test_once_comes_once():
    household = make_household()
    chore = make_chore(household, repeat=Kind.ONCE, starts=date(2026, 3, 20))
    daily.run(now=NOW)
    household.daily_on = None
    household.save(update_fields=["daily_on"])
    daily.run(now=NOW + timedelta(days=30))
    assert closes(chore) == [date(2026, 3, 20)]


def test_queries_do_not_grow_with_the_chores():
    def queries(count: int) -> int:
        household = make_household()
        for _ in range(count):
            make_chore(household, rule="FREQ=WEEKLY;BYDAY=MO,TH")
        with CaptureQueriesContext(connection) as captured:
            daily.run(now=NOW, household=household)
        return len(captured)

    assert queries(3) == queries(30)


def test_a_carried_task_is_due_once_and_a_lapsing_one_is_let_go():
    household = make_household()
    carry = make_chore(household, rule="FREQ=DAILY", missed="carry")
    lapse = make_chore(household, rule="FREQ=DAILY", missed="lapse", grace_days=1)
    daily.run(now=NOW)
    daily.run(now=NOW + timedelta(days=3))
    today = TODAY + timedelta(days=3)
    open_carry = carry.tasks.filter(state=State.OPEN, opens__lte=today)
    open_lapse = lapse.tasks.filter(state=State.OPEN, opens__lte=today)
    assert [task.closes for task in open_carry] == [TODAY]
    assert [task.closes for task in open_lapse] == [today - timedelta(days=1), today]
    lapsed = lapse.tasks.filter(state=State.LAPSED).first()
    assert lapsed.entries.get().after["state"] == State.LAPSED


def test_nobody_is_given_a_task_beyond_their_age():
    household = make_household()
    child = make_member(household, age_band="8_11", role="child")
    shed = make_area(household, owner=child)
    owned = make_chore(household, who="owner", area=shed, hazards=["ladder"])
    fixed = make_chore(household, who="fixed", fixed=child, hazards=["power_tools"])
    safe = make_chore(household, who="owner", area=shed)
    daily.run(now=NOW)
    assert set(owned.tasks.values_list("member", flat=True)) == {None}
    assert set(fixed.tasks.values_list("member", flat=True)) == {None}
    assert set(safe.tasks.values_list("member", flat=True)) == {child.pk}

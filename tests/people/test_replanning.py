"""Tasks follow when people come, go, are away, or the household's habits change."""

from datetime import date, datetime, timedelta

import pytest

from household.chores import replanning
from household.chores.models import Chore, Did, Entry, State, Task
from household.people import absences, actions
from household.people.absences import Days
from household.people.models import Household, Member
from tests.factories import TODAY, make_area, make_chore, make_task

pytestmark = pytest.mark.django_db


def leave(member: Member, organiser: Member, now: datetime) -> int:
    actions.archive_member(member=member, now=now)
    return replanning.member_left(member=member, actor=organiser, now=now)


def whose(chore: Chore) -> set[int | None]:
    return set(chore.tasks.filter(state=State.OPEN).values_list("member_id", flat=True))


def test_open_tasks_of_who_leaves_go_to_the_pool(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    own = make_task(household, "Post the parcel", member=member)
    other = make_task(household, "Water the fig", member=organiser)
    done = make_task(household, "Shut the gate", member=member, state=State.DONE)
    assert leave(member, organiser, now) == 1
    rows = {task.pk: task.member_id for task in Task.objects.all()}
    assert rows == {own.pk: None, other.pk: organiser.pk, done.pk: member.pk}
    entry = Entry.objects.get(task=own)
    assert entry.did == Did.HANDED and entry.before == {"member_id": member.pk}
    assert leave(member, organiser, now) == 0


def test_what_only_they_did_anyone_may_do(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    chore = make_chore(household, who="fixed", fixed=member, may=[member.pk], keeper=member)
    assert whose(chore) == {member.pk}
    leave(member, organiser, now)
    kept = Chore.objects.get(pk=chore.pk)
    assert (kept.who, kept.fixed_id, kept.may, kept.keeper_id) == ("anyone", None, [], None)
    assert whose(chore) == {None}


def test_area_of_who_leaves_is_nobodys(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    area = make_area(household, "Shed", owner=member)
    chore = make_chore(household, area=area, who="owner")
    assert whose(chore) == {member.pk}
    leave(member, organiser, now)
    area.refresh_from_db()
    assert area.owner is None and whose(chore) == {None}


def test_turns_go_on_among_those_who_are_left_and_widen_again(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    chore = make_chore(household, who="turns", rule="FREQ=DAILY")
    assert whose(chore) == {organiser.pk, member.pk}
    leave(member, organiser, now)
    assert whose(chore) == {organiser.pk}
    actions.restore_member(member=member)
    replanning.people_changed(household=household, now=now)
    assert whose(chore) == {organiser.pk, member.pk}


def test_turns_pass_over_who_is_away(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    chore = make_chore(household, who="turns", rule="FREQ=DAILY")
    days = Days(TODAY, TODAY + timedelta(days=6))
    absence = absences.add_absence(member=member, days=days)
    for _ in range(2):
        replanning.people_changed(household=household, now=now)
        first_week = chore.tasks.filter(closes__lte=days.ends)
        assert set(first_week.values_list("member_id", flat=True)) == {organiser.pk}
        assert member.pk in whose(chore)
    absences.remove_absence(absence=absence)
    replanning.people_changed(household=household, now=now)
    assert member.pk in set(first_week.values_list("member_id", flat=True))


def test_task_somebody_touched_stays_as_it_is(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    chore = make_chore(household, who="turns", rule="FREQ=DAILY")
    task = chore.tasks.order_by("closes")[3]
    Task.objects.filter(pk=task.pk).update(sequence=1, member=member)
    replanning.people_changed(household=household, now=now)
    assert Task.objects.get(pk=task.pk).member_id == member.pk
    assert chore.tasks.filter(occurrence=task.occurrence).count() == 1


def test_what_is_no_longer_safe_goes_to_the_pool(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    chore = make_chore(household, who="fixed", fixed=member, min_age="adult")
    harmless = make_chore(household, who="fixed", fixed=member)
    taken = make_chore(household, who="anyone", min_age="adult", rule="FREQ=WEEKLY;COUNT=1")
    task = taken.tasks.get()
    Task.objects.filter(pk=task.pk).update(member=member, sequence=1)
    member.age_band = "8_11"
    member.save()
    assert replanning.limits_changed(member=member, actor=organiser, now=now) == 1
    assert whose(chore) == {None} and whose(taken) == {None}
    assert whose(harmless) == {member.pk}
    assert replanning.limits_changed(member=member, actor=organiser, now=now) == 0


def test_new_owner_takes_over_the_tasks_to_come(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    area = make_area(household, "Shed", owner=member)
    chore = make_chore(household, area=area, who="owner")
    area.owner = organiser
    area.save()
    replanning.owner_changed(area=area, now=now)
    assert whose(chore) == {organiser.pk}


def test_weeks_that_begin_on_sunday_move_what_may_be_done_any_day_of_a_week(
    household: Household, now: datetime
) -> None:
    chore = make_chore(household, window="week", starts=date(2026, 3, 9))
    assert {task.opens.weekday() for task in chore.tasks.all()} == {0}
    household.first_weekday = 6
    household.save()
    replanning.habits_changed(household=household, changed=frozenset({"first_weekday"}), now=now)
    later = chore.tasks.filter(opens__gt=TODAY)
    assert {task.opens.weekday() for task in later} == {6}


def test_holidays_of_the_new_country_are_heeded(household: Household, now: datetime) -> None:
    """Saint Patrick's Day, 17 March: a public holiday in Ireland, not in France.

    Source: Organisation of Working Time Act 1997, second schedule (from memory).
    """
    chore = make_chore(household, rule="FREQ=DAILY", on_holiday="skip")
    other = make_chore(household, rule="FREQ=DAILY")
    day = date(2026, 3, 17)
    assert not chore.tasks.filter(closes=day).exists()
    ids = set(other.tasks.values_list("pk", flat=True))
    household.country = "FR"
    household.save()
    replanning.habits_changed(household=household, changed=frozenset({"country"}), now=now)
    assert chore.tasks.filter(closes=day).count() == 1
    assert set(other.tasks.values_list("pk", flat=True)) == ids


def test_other_habits_move_nothing(household: Household, now: datetime) -> None:
    chore = make_chore(household, rule="FREQ=DAILY", on_holiday="skip")
    ids = set(chore.tasks.values_list("pk", flat=True))
    replanning.habits_changed(household=household, changed=frozenset({"paper", "name"}), now=now)
    assert set(chore.tasks.values_list("pk", flat=True)) == ids

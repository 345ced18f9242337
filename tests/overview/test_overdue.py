"""What is overdue: its reason, where it fits, and one touch that settles it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse

from household.chores.models import Did, Importance, State, Task
from household.kit.dates import DateWords
from household.overview.overdue import Row, plan, rows
from household.people.models import Absence
from tests.factories import TODAY, make_area, make_chore, make_member, make_task

ALL_WEEK = [60] * 7


@pytest.fixture
def kitchen(household):
    return make_area(household, "Kitchen")


def late(household, name="Descale the kettle", days=3, **fields) -> Task:
    day = TODAY - timedelta(days=days)
    return make_task(household, name, **{"day": day, "opens": day, "closes": day, **fields})


def shown(household, *, acts=True) -> list[Row]:
    return rows(household, plan(household, TODAY), DateWords(), acts=acts)


def touch(client, household, name, *ids, **data):
    address = reverse(f"overview:{name}", args=[household.pk, *ids])
    return client.post(address, data)


def test_oldest_first_with_area_level_minutes_and_since_when(household, organiser, kitchen):
    late(household, "Second", days=1, member=organiser)
    late(household, "First", days=6, member=organiser, area=kitchen, level="clean")
    late(household, "Not yet", days=0)
    first, second = shown(household)
    assert (first.name, first.days, first.about, first.why) == (
        "First",
        6,
        "Kitchen · clean · 10 min",
        "since Friday",
    )
    assert (second.name, second.why) == ("Second", "since yesterday")


def test_it_says_when_it_is_nobodys_or_its_person_is_away(household, organiser, member):
    Absence.objects.create(member=member, starts=TODAY, ends=TODAY + timedelta(days=2))
    late(household, "A", days=2)
    late(household, "B", days=1, member=member)
    assert [row.why for row in shown(household)] == [
        "since Tuesday, nobody’s yet",
        "since yesterday, Dev is away until Sunday",
    ]


def test_it_fits_whoever_has_most_room_and_knows_the_limits(household, organiser, child):
    organiser.free_minutes, child.free_minutes = [0, 0, 0, 15, 60, 0, 0], ALL_WEEK
    organiser.save()
    child.save()
    chore = make_chore(household, min_age="adult", minutes=20)
    late(household, "Bleach", chore=chore, occurrence=date(2026, 1, 1), minutes=20)
    [row] = [row for row in shown(household) if row.name == "Bleach"]
    assert row.best == "Marit, tomorrow"


def test_what_is_planned_and_done_takes_room(household, organiser):
    organiser.free_minutes = [0, 0, 0, 30, 30, 30, 0]
    organiser.save()
    make_task(household, state=State.DONE, minutes=15, done_on=TODAY, done_by=organiser)
    friday = TODAY + timedelta(days=1)
    make_task(household, member=organiser, minutes=25, day=friday)
    late(household, minutes=20, member=organiser)
    assert [row.best for row in shown(household)] == ["Marit, Saturday"]


def test_where_no_day_has_room_nothing_is_suggested(household, organiser):
    late(household, minutes=200, member=organiser)
    [row] = shown(household)
    assert (row.best, row.settle_url) == ("", "")
    assert row.move_url


def test_a_one_off_is_not_pushed_onto_a_child(household, organiser, child):
    organiser.free_minutes, child.free_minutes = [10] * 7, [500] * 7
    organiser.save()
    child.save()
    late(household, minutes=10)
    assert [row.best for row in shown(household)] == ["Marit, today"]


def test_one_touch_settles_it_where_it_fits_best(household, organiser, member, client_for):
    task = late(household, member=member)
    organiser.free_minutes = ALL_WEEK
    organiser.save()
    [row] = shown(household)
    client = client_for(member)
    page = client.get(reverse("overview:overview", args=[household.pk])).content.decode()
    assert f'value="{row.fit}"' in page
    response = touch(client, household, "settle", fit=row.fit)
    task.refresh_from_db()
    assert response.status_code == 302
    assert (task.member, task.day, task.closes) == (organiser, TODAY, TODAY)
    assert task.entries.get().did == Did.HANDED
    assert shown(household) == []


def test_sending_it_again_changes_nothing(household, organiser, client_for):
    task = late(household, member=organiser)
    client = client_for(organiser)
    fit = shown(household)[0].fit
    for _ in range(2):
        touch(client, household, "settle", fit=fit)
    assert task.entries.count() == 1


def test_settle_all_settles_each_as_shown_and_one_undo_takes_all_back(
    household, organiser, client_for
):
    tasks = [late(household, f"T{days}", days=days, minutes=20) for days in (5, 4, 3)]
    organiser.free_minutes = [0, 0, 0, 40, 20, 0, 0]
    organiser.save()
    client = client_for(organiser)
    client.post(
        reverse("overview:settle", args=[household.pk]),
        {"fit": [row.fit for row in shown(household)]},
    )
    days = list(Task.objects.filter(household=household).order_by("id").values_list("day"))
    assert days == [(TODAY,), (TODAY,), (TODAY + timedelta(days=1),)]
    page = client.get(reverse("overview:overview", args=[household.pk])).content.decode()
    assert "3 tasks have a person and a day now." in page
    entries = ",".join(str(task.entries.get().pk) for task in tasks)
    assert f'name="entries" value="{entries}"' in page
    for _ in range(2):  # an undo sent twice undoes once
        touch(client, household, "take_back", entries=entries)
    for task in tasks:
        before = task.closes
        task.refresh_from_db()
        assert (task.closes, task.member) == (before, None)
        assert task.entries.count() == 2
    assert len(shown(household)) == 3


def test_a_wish_for_somebody_who_may_not_is_refused_and_nothing_is_changed(
    household, organiser, child, client_for
):
    chore = make_chore(household, min_age="adult")
    fine = late(household, "Fine", days=9)
    task = late(household, chore=chore, occurrence=date(2026, 1, 1))
    response = client_for(organiser).post(
        reverse("overview:settle", args=[household.pk]),
        {"fit": [f"{fine.pk}:{organiser.pk}:{TODAY}", f"{task.pk}:{child.pk}:{TODAY}"]},
    )
    assert response.status_code == 422
    assert "this needs an adult" in response.content.decode()
    assert not Task.objects.filter(day=TODAY, sequence__gt=0).exists()


@pytest.mark.parametrize("fit", ["", "x", "1:2", "1:2:tomorrow", "0:0:2026-03-12"])
def test_nonsense_settles_nothing(household, organiser, client_for, fit):
    late(household)
    assert touch(client_for(organiser), household, "settle", fit=fit).status_code == 302
    assert len(shown(household)) == 1


def test_a_page_kept_overnight_settles_for_today(household, organiser, client_for):
    task = late(household)
    fit = f"{task.pk}:{organiser.pk}:{TODAY - timedelta(days=1)}"
    touch(client_for(organiser), household, "settle", fit=fit)
    task.refresh_from_db()
    assert task.day == TODAY


def test_move_keeps_the_person_and_stretches_a_window(household, organiser, client_for):
    task = late(household, member=organiser, opens=TODAY - timedelta(days=9))
    friday = TODAY + timedelta(days=1)
    touch(client_for(organiser), household, "move", task.pk, day=friday.isoformat())
    task.refresh_from_db()
    assert (task.member, task.day, task.closes) == (organiser, friday, friday)
    assert task.opens == TODAY - timedelta(days=9)
    assert task.entries.get().did == Did.MOVED


@pytest.mark.parametrize("day", ["", "soon", "2026-03-11"])
def test_moving_to_no_day_or_a_past_one_is_refused(household, organiser, client_for, day):
    task = late(household)
    assert touch(client_for(organiser), household, "move", task.pk, day=day).status_code == 422
    assert task.entries.count() == 0


def test_lighter_is_one_level_down_in_fewer_minutes(household, organiser, kitchen, client_for):
    task = late(household, member=organiser, area=kitchen, level="deep", minutes=45)
    client = client_for(organiser)
    for _ in range(2):  # sent twice, lightened once
        touch(client, household, "lighter", task.pk)
    task.refresh_from_db()
    assert (task.level, task.minutes, task.day) == ("clean", 20, TODAY)
    entry = task.entries.get()
    assert (entry.did, entry.before["level"], entry.before["minutes"]) == (
        Did.CHANGED,
        "deep",
        45,
    )
    page = client.get(reverse("overview:overview", args=[household.pk])).content.decode()
    assert "you made it clean, 20 min" in page
    touch(client, household, "take_back", entries=entry.pk)
    task.refresh_from_db()
    assert (task.level, task.minutes) == ("deep", 45)
    assert task.is_late(TODAY)


def test_a_tidy_has_no_lighter_way(household, organiser, client_for):
    task = late(household, level="tidy")
    assert shown(household)[0].lighter_url == ""
    assert touch(client_for(organiser), household, "lighter", task.pk).status_code == 422


def test_drop_skips_it_with_its_reason(household, organiser, client_for):
    task = late(household)
    client = client_for(organiser)
    for _ in range(2):
        touch(client, household, "drop", task.pk)
    task.refresh_from_db()
    assert (task.state, task.reason) == (State.SKIPPED, "Dropped from the overview")
    assert task.entries.count() == 1


def test_health_and_safety_is_neither_dropped_nor_lightened(household, organiser, client_for):
    chore = make_chore(household, importance=Importance.SAFETY)
    task = late(household, "Smoke alarm", chore=chore, occurrence=date(2026, 1, 1), level="deep")
    [row] = shown(household)
    assert (row.drop_url, row.lighter_url) == ("", "")
    client = client_for(organiser)
    for name in ("drop", "lighter"):
        assert touch(client, household, name, task.pk).status_code == 422
    task.refresh_from_db()
    assert (task.state, task.level) == (State.OPEN, "deep")


def test_what_somebody_changed_since_is_not_undone(household, organiser, member, client_for):
    task = late(household)
    client = client_for(organiser)
    touch(client, household, "settle", fit=f"{task.pk}:{organiser.pk}:{TODAY}")
    mine = task.entries.get()
    other = TODAY + timedelta(days=4)
    client_for(member).post(
        reverse("web:move", args=[household.pk, task.pk]), {"day": other.isoformat()}
    )
    response = touch(client, household, "take_back", entries=mine.pk)
    assert response.status_code == 422
    task.refresh_from_db()
    assert task.day == other


def test_children_read_and_do_not_settle(household, organiser, child, client_for):
    task = late(household, level="clean")
    [row] = shown(household, acts=False)
    assert (row.settle_url, row.move_url, row.lighter_url, row.drop_url) == ("", "", "", "")
    client = client_for(child)
    page = client.get(reverse("overview:overview", args=[household.pk]))
    assert page.status_code == 200
    assert "Descale the kettle" in page.content.decode()
    assert "Settle" not in page.content.decode()
    assert (
        touch(client, household, "settle", fit=f"{task.pk}:{child.pk}:{TODAY}").status_code == 404
    )
    for name in ("move", "lighter", "drop"):
        assert touch(client, household, name, task.pk).status_code == 404


def test_a_task_of_another_household_is_not_there(household, organiser, outsider, client_for):
    task = late(household)
    client = client_for(outsider)
    for name in ("move", "lighter", "drop"):
        assert touch(client, household, name, task.pk).status_code == 404
        assert touch(client, outsider.household, name, task.pk).status_code == 404
    touch(client, outsider.household, "settle", fit=f"{task.pk}:{outsider.pk}:{TODAY}")
    task.refresh_from_db()
    assert task.sequence == 0


def test_somebody_of_another_household_is_nobody_to_give_it_to(
    household, organiser, outsider, client_for
):
    task = late(household)
    response = touch(
        client_for(organiser), household, "settle", fit=f"{task.pk}:{outsider.pk}:{TODAY}"
    )
    assert response.status_code == 422


def test_looking_settles_nothing(household, organiser, client_for):
    task = late(household)
    client = client_for(organiser)
    for name, ids in (("settle", []), ("take_back", []), ("drop", [task.pk])):
        address = reverse(f"overview:{name}", args=[household.pk, *ids])
        assert client.get(address).status_code == 405


def test_with_nobody_free_every_row_stands_without_a_suggestion(household, organiser):
    make_member(household, "Dev", free_minutes=[0] * 7)
    organiser.free_minutes = [0] * 7
    organiser.save()
    for days in (1, 2):
        late(household, days=days)
    assert [row.best for row in shown(household)] == ["", ""]

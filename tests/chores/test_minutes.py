"""Minutes learnt from ticks: what is said, what is offered, taking it and taking it back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.chores.estimating import usual_of, worth_taking
from household.chores.minutes import give_minutes_back, take_minutes
from household.chores.models import Chore, Entry, State, Task
from household.kit.errors import Refused
from household.people.models import Household, Member
from tests.factories import NOW, TODAY, make_chore, make_household, make_member

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]


def report(chore: Chore, minutes: Sequence[int], by: Member, **fields: object) -> None:
    """One finished task for each report, a week apart, the last of them a week ago."""
    for ago, each in enumerate(reversed(minutes), start=1):
        day = TODAY - timedelta(weeks=ago)
        Task.objects.create(
            household=chore.household,
            chore=chore,
            occurrence=day - timedelta(days=by.pk % 7),
            name=chore.name,
            level=fields.get("level", chore.level),
            minutes=chore.minutes,
            opens=day,
            closes=day,
            state=State.DONE,
            done_on=day,
            done_by=by,
            minutes_taken=each,
        )


def test_twelve_ticks_of_about_half_an_hour_are_said_beside_the_planned_quarter(
    household: Household, organiser: Member
) -> None:
    chore = make_chore(household, "Iron", minutes=15)
    report(chore, [28] * 12, organiser)
    usual = usual_of(chore, [organiser], TODAY)
    assert usual is not None
    # By hand: (12 x 28 + 4 x 15) / 16 = 24.75, from 20 minutes on rounded to 5.
    assert usual.words == "Usually takes 25 minutes (12 ticks), planned 15"
    assert usual.worth_taking
    # Their own: (12 x 28 + 4 x 24.75) / 16 = 27.19, rounded to 25.
    assert [(each.member, each.minutes, each.ticks) for each in usual.people] == [
        (organiser, 25, 12)
    ]


def test_nothing_is_said_without_reports_and_nothing_offered_for_little(
    household: Household, organiser: Member
) -> None:
    silent, near = make_chore(household, "Silent"), make_chore(household, "Near", minutes=10)
    report(near, [12] * 8, organiser)
    assert usual_of(silent, [], TODAY) is None
    assert worth_taking(household, [silent, near], [], TODAY) == []


def test_what_was_done_more_lightly_tells_nothing_of_the_chore(
    household: Household, organiser: Member
) -> None:
    chore = make_chore(household, "Bath", minutes=40, level="deep")
    report(chore, [15] * 10, organiser, level="clean")
    assert usual_of(chore, [], TODAY) is None


def test_taking_it_reaches_open_tasks_and_can_be_taken_back(
    household: Household, organiser: Member
) -> None:
    chore = make_chore(household, "Iron", minutes=15, level="clean")
    lighter = chore.tasks.filter(state=State.OPEN).order_by("closes")[0]
    Task.objects.filter(pk=lighter.pk).update(level="tidy", minutes=5)
    (entry,) = take_minutes(household=household, wanted={chore.pk: 25}, actor=organiser, now=NOW)
    chore.refresh_from_db()
    assert chore.minutes == 25
    others = chore.tasks.filter(state=State.OPEN).exclude(pk=lighter.pk)
    assert others.exists()
    assert set(others.values_list("minutes", flat=True)) == {25}
    lighter.refresh_from_db()
    assert lighter.minutes == 5
    assert take_minutes(household=household, wanted={chore.pk: 25}, actor=organiser, now=NOW) == []

    give_minutes_back(entries=[entry], actor=organiser, now=NOW)
    chore.refresh_from_db()
    assert chore.minutes == 15
    assert set(others.values_list("minutes", flat=True)) == {15}
    again = Entry.objects.select_related("undone_by").filter(pk=entry.pk)
    assert give_minutes_back(entries=again, actor=organiser, now=NOW) == []


def test_what_somebody_changed_since_is_not_undone(household: Household, organiser: Member) -> None:
    chore = make_chore(household, "Iron", minutes=15)
    (entry,) = take_minutes(household=household, wanted={chore.pk: 25}, actor=organiser, now=NOW)
    take_minutes(household=household, wanted={chore.pk: 30}, actor=organiser, now=NOW)
    with pytest.raises(Refused, match="changed it again"):
        give_minutes_back(entries=[entry], actor=organiser, now=NOW)


def test_minutes_of_no_day_and_chores_of_another_home_are_left_alone(
    household: Household, organiser: Member, outsider: Member
) -> None:
    chore = make_chore(household, "Iron", minutes=15)
    theirs = make_chore(outsider.household, "Theirs", minutes=15)
    with pytest.raises(Refused):
        take_minutes(household=household, wanted={chore.pk: 0}, actor=organiser, now=NOW)
    assert take_minutes(household=household, wanted={theirs.pk: 25}, actor=organiser, now=NOW) == []


def test_one_touch_on_the_chores_page_and_undo(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    chore = make_chore(household, "Iron", minutes=15)
    report(chore, [28] * 12, organiser)
    page, client = f"/h/{household.pk}/chores/{chore.pk}/", client_for(organiser)
    assert "Usually takes 25 minutes (12 ticks), planned 15." in client.get(page).content.decode()
    assert "Take 25" in client.get(f"{page}change/").content.decode()
    assert "Take 25" not in client_for(member).get(page).content.decode()
    take = f"/h/{household.pk}/chores/minutes/take/"
    sent = {"take": f"{chore.pk}:25", "chore": chore.pk}
    assert client_for(member).post(take, sent).status_code == 404
    said = client.post(take, sent, follow=True).content.decode()
    assert "“Iron” is planned with 25 minutes now." in said
    assert "planned it with 25 min instead of 15" in said
    entry = Entry.objects.get(chore=chore, did="changed")
    back = f"/h/{household.pk}/chores/minutes/back/"
    said = client.post(back, {"entries": entry.pk, "chore": chore.pk}, follow=True)
    assert "Taken back" in said.content.decode()
    chore.refresh_from_db()
    assert chore.minutes == 15


def test_all_that_are_off_are_taken_at_once(
    household: Household, organiser: Member, client_for: ClientFor
) -> None:
    chores = [make_chore(household, name, minutes=15) for name in ("Iron", "Mop", "Fold")]
    for chore in chores[:2]:
        report(chore, [28] * 12, organiser)
    client = client_for(organiser)
    assert "Which minutes are off? 2" in client.get(f"/h/{household.pk}/chores/").content.decode()
    page = client.get(f"/h/{household.pk}/chores/minutes/").content.decode()
    assert "Take all two" in page
    assert "Fold" not in page
    sent = {"take": [f"{chore.pk}:25" for chore in chores[:2]]}
    said = client.post(f"/h/{household.pk}/chores/minutes/take/", sent, follow=True)
    assert "2 chores are planned with the minutes they take." in said.content.decode()
    minutes = Chore.objects.order_by("id").values_list("minutes", flat=True)
    assert list(minutes) == [25, 25, 15]


def test_the_list_asks_as_often_for_thirty_as_for_three(client_for: ClientFor, now: object) -> None:
    def queries(count: int) -> int:
        home = make_household()
        one = make_member(home, role="organiser")
        for _ in range(count):
            report(make_chore(home, minutes=15), [28] * 6, one)
        client = client_for(one)
        client.get(f"/h/{home.pk}/chores/minutes/")
        with CaptureQueriesContext(connection) as captured:
            assert client.get(f"/h/{home.pk}/chores/minutes/").status_code == 200
        return len(captured)

    assert queries(3) == queries(30)

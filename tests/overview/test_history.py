"""The household's history: filters, pages, sentences, and what may still be taken back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse

from household.chores import ticking
from household.chores.models import Did, Entry
from household.overview import queries
from tests.factories import NOW, TODAY, make_area, make_chore, make_task

HORIZON = TODAY + timedelta(days=28)


def tick(task, member, now=NOW):
    return ticking.tick(task=task, member=member, now=now, horizon=HORIZON)


def listed(household, viewer, **wanted):
    page = list(queries.entries(household, viewer, **wanted))
    return queries.history_rows(household, page, viewer, NOW)


def address(household, name="history"):
    return reverse(f"overview:{name}", args=[household.pk])


def test_newest_first_with_who_and_what(household, organiser, member):
    tick(make_task(household, "Sweep", area=make_area(household, "Hall")), member)
    later = NOW + timedelta(minutes=5)
    ticking.skip(
        task=make_task(household, "Dust"),
        member=organiser,
        reason="We were out",
        now=later,
        horizon=HORIZON,
    )
    assert [(row.thing, row.area, row.who, row.what) for row in listed(household, organiser)] == [
        ("Dust", "", "Marit", "skipped it: we were out"),
        ("Sweep", "Hall", "Dev", "ticked it"),
    ]


def test_filters_by_member_area_chore_and_kind(household, organiser, member):
    hall, attic = make_area(household, "Hall"), make_area(household, "Attic")
    sweep = make_chore(household, "Sweep", area=hall)
    dust = make_chore(household, "Dust", area=attic)
    Entry.objects.all().delete()
    tick(sweep.tasks.first(), organiser)
    ticking.assign(task=dust.tasks.first(), to=member, actor=organiser, now=NOW)
    things = {
        name: [row.thing for row in listed(household, organiser, **wanted)]
        for name, wanted in {
            "about Dev": {"member": member},
            "hall": {"area": hall},
            "dust": {"chore": dust},
            "ticks": {"did": Did.TICKED},
            "none": {"area": attic, "did": Did.TICKED},
        }.items()
    }
    assert things == {
        "about Dev": ["Dust"],
        "hall": ["Sweep"],
        "dust": ["Dust"],
        "ticks": ["Sweep"],
        "none": [],
    }


def test_the_filters_are_read_from_the_address(household, organiser, client_for):
    tick(make_task(household, "Sweep"), organiser)
    client = client_for(organiser)
    seen = client.get(address(household), {"did": "ticked", "member": organiser.pk})
    assert "Sweep" in seen.content.decode()
    unseen = client.get(address(household), {"did": "lapsed"})
    assert "Nothing of that kind has happened." in unseen.content.decode()
    # A filter that makes no sense is as good as none.
    assert "Sweep" in client.get(address(household), {"area": "x"}).content.decode()


def test_only_the_last_change_of_a_task_may_be_taken_back(household, organiser):
    task = make_task(household)
    ticking.move(task=task, day=TODAY + timedelta(days=1), actor=organiser, now=NOW)
    tick(task, organiser, NOW + timedelta(minutes=1))
    moved, ticked = task.entries.order_by("id")
    assert [row.entry for row in listed(household, organiser)] == [ticked.pk, None]
    ticking.undo(task=task, member=organiser, now=NOW + timedelta(minutes=2), horizon=HORIZON)
    assert [row.entry for row in listed(household, organiser)] == [None, None, moved.pk]


def test_after_a_fortnight_it_stays(household, organiser):
    task = tick(make_task(household), organiser)
    Entry.objects.filter(task=task).update(at=NOW - timedelta(days=15))
    assert [row.entry for row in listed(household, organiser)] == [None]


def test_children_read_and_take_nothing_back(household, organiser, child, client_for):
    task = tick(make_task(household, "Sweep"), organiser)
    assert [row.entry for row in listed(household, child)] == [None]
    client = client_for(child)
    assert "Sweep" in client.get(address(household)).content.decode()
    entry = task.entries.get().pk
    assert client.post(address(household, "take_back"), {"entries": entry}).status_code == 404


def test_a_tick_is_taken_back_from_the_history(household, organiser, member, client_for):
    task = tick(make_task(household), member)
    entry = task.entries.get()
    client = client_for(organiser)
    assert f'name="entries" value="{entry.pk}"' in client.get(address(household)).content.decode()
    client.post(address(household, "take_back"), {"entries": entry.pk})
    task.refresh_from_db()
    assert (task.state, task.done_by) == ("open", None)
    assert Entry.objects.get(undoes=entry).actor == organiser


@pytest.mark.parametrize("entries", ["", "x", "²", "9" * 30, "0"])
def test_nonsense_takes_nothing_back(household, organiser, client_for, entries):
    response = client_for(organiser).post(address(household, "take_back"), {"entries": entries})
    assert response.status_code == 302


def test_an_entry_of_another_household_is_not_there(household, outsider, organiser, client_for):
    task = tick(make_task(household), organiser)
    client_for(outsider).post(
        address(outsider.household, "take_back"), {"entries": task.entries.get().pk}
    )
    task.refresh_from_db()
    assert task.state == "done"


def test_long_histories_come_in_pages(household, organiser, client_for):
    for number in range(60):
        tick(make_task(household, f"Task {number}"), organiser, NOW + timedelta(seconds=number))
    client = client_for(organiser)
    first = client.get(address(household), {"did": "ticked"}).content.decode()
    assert "Page 1 of 2" in first
    assert "did=ticked&amp;page=2" in first
    assert "Task 9<" in client.get(address(household), {"page": 2}).content.decode()


def test_a_moved_task_says_to_which_day(household, organiser):
    task = make_task(household)
    ticking.move(task=task, day=date(2026, 3, 14), actor=organiser, now=NOW)
    assert listed(household, organiser)[0].what == "moved it to Saturday 14 March"

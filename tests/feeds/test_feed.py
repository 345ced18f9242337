"""A feed holds exactly the tasks of its days, and tells when one changes.

Read with icalendar, expanded with recurring-ical-events, and read again with libical.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
import recurring_ical_events
import time_machine
from django.db.models import Q

from household import daily
from household.calc.recurrence.repeat import Kind, Shift, Unit, Window
from household.chores import ticking
from household.chores.actions import change_chore
from household.chores.horizon import horizon_of
from household.chores.models import State, Task
from household.people.absences import Days, add_absence
from household.people.models import Household, Member
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_chore,
    make_household,
    make_member,
    make_task,
)

pytestmark = pytest.mark.django_db
HORIZON = horizon_of(TODAY)


def events_of(answer: Any) -> list[icalendar.Event]:
    calendar = icalendar.Calendar.from_ical(answer.content)
    assert calendar.errors == []
    found = calendar.walk("VEVENT")
    assert all(event.errors == [] for event in found)
    return found


def by_uid(answer: Any) -> dict[str, icalendar.Event]:
    return {str(event["UID"]): event for event in events_of(answer)}


def ticked(task: Task, member: Member, now: datetime = NOW) -> Task:
    whole = Task.objects.select_related("chore", "household").get(pk=task.pk)
    return ticking.tick(task=whole, member=member, now=now, horizon=HORIZON)


@pytest.fixture
def busy_home(household: Household, organiser: Member, member: Member) -> Household:
    """Tasks of every sort: all-day, timed, any-day, one-off, done, skipped, long past."""
    kitchen = make_area(household, "Kitchen, upper", owner=organiser)
    fixed = {"who": "fixed", "fixed": member}
    make_chore(household, "Sweep; mop", area=kitchen, rule="FREQ=DAILY", **fixed)
    make_chore(household, "Oven", area=kitchen, rule="FREQ=WEEKLY;BYDAY=WE", window=Window.WEEK)
    make_chore(
        household,
        "Bins out",
        rule="FREQ=WEEKLY;BYDAY=TU",
        time="07:30",
        who="fixed",
        fixed=organiser,
    )
    make_chore(household, "Beds", rule="FREQ=WEEKLY", who="turns", may=[organiser.pk, member.pk])
    make_chore(household, "Filter", repeat=Kind.AFTER_DONE, every=40, unit=Unit.DAYS)
    make_chore(household, "Windows", area=kitchen, rule="FREQ=MONTHLY;BYMONTHDAY=5", who="owner")
    make_task(household, "Call the plumber", member=organiser)
    make_task(household, "Far away", day=TODAY + timedelta(days=91))
    make_task(household, "Long ago", day=TODAY - timedelta(days=15))
    make_task(household, "Last week", day=TODAY - timedelta(days=14))
    for name, act in (("Sweep; mop", "tick"), ("Beds", "skip")):
        task = Task.objects.select_related("chore", "household").filter(name=name).first()
        assert task is not None
        if act == "tick":
            ticked(task, member)
        else:
            ticking.skip(task=task, member=member, reason="", now=NOW, horizon=HORIZON)
    return household


def test_it_expands_to_exactly_the_tasks_in_the_database(
    busy_home: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    _, token = feed_for(organiser, "household")
    calendar = icalendar.Calendar.from_ical(fetch_feed(token).content)
    first, last = TODAY - timedelta(days=14), HORIZON - timedelta(days=7)
    found = recurring_ical_events.of(calendar).between(first, last + timedelta(days=1))
    zone = busy_home.zone

    def day_of(event: icalendar.Event) -> date:
        start = (
            event["DTEND"].dt if isinstance(event["DTSTART"].dt, datetime) else event["DTSTART"].dt
        )
        return start.astimezone(zone).date() if isinstance(start, datetime) else start

    told = sorted(
        (day_of(event), str(event["SUMMARY"]).removeprefix("Done: ").partition(" (")[0])
        for event in found
    )
    days = Q(day__range=(first, last)) | Q(day=None, closes__range=(first, last))
    tasks = Task.objects.filter(days, household=busy_home, state__in=[State.OPEN, State.DONE])
    assert told == sorted((task.day or task.closes, task.name) for task in tasks)
    assert len(told) > 30


def unpublished(body: bytes) -> bytes:
    """Without METHOD, by which RFC 5546 would want an ORGANIZER, that is a mail address.

    Feeds of calendar programs carry METHOD:PUBLISH without one: common practice, no source.
    """
    return body.replace(b"METHOD:PUBLISH\r\n", b"")


def test_a_second_reader_agrees(
    busy_home: Household, organiser: Member, feed_for: Any, fetch_feed: Any, second_reader: Any
) -> None:
    make_task(busy_home, "🧹 ניקוי, then; \\ rest\r\nEND:VEVENT", member=organiser)
    _, token = feed_for(organiser, "household")
    body = fetch_feed(token).content
    read = second_reader.read(body)
    assert read.errors == 0 and second_reader.read(unpublished(body)).fits
    ours = icalendar.Calendar.from_ical(body).walk("VEVENT")
    assert {one.values["UID"]: one.text["SUMMARY"] for one in read.components} == {
        str(event["UID"]): str(event["SUMMARY"]) for event in ours
    }
    todos = second_reader.read(unpublished(fetch_feed(token, "todos").content))
    assert todos.errors == 0 and todos.fits
    assert {one.kind for one in todos.components} == {"VTODO"}


def test_it_reaches_ninety_days_by_projection(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_chore(household, "Sweep", rule="FREQ=DAILY", who="fixed", fixed=organiser)
    _, token = feed_for(organiser)
    days = sorted(event["DTSTART"].dt for event in events_of(fetch_feed(token)))
    assert days == [TODAY + timedelta(days=n) for n in range(91)]


def test_a_projected_task_keeps_its_uid_and_day_once_it_is_written(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    whose = [organiser.pk, member.pk]
    make_chore(household, "Beds", rule="FREQ=WEEKLY", who="turns", may=whose)
    make_chore(household, "Floors", rule="FREQ=WEEKLY;BYDAY=FR", on_holiday=Shift.EARLIER)
    make_chore(household, "Oven", rule="FREQ=MONTHLY;BYMONTHDAY=2", window=Window.MONTH)
    _, token = feed_for(organiser, "household")
    before = by_uid(fetch_feed(token))
    later = NOW + timedelta(days=40)
    with time_machine.travel(later, tick=False):
        daily.run(now=later)
        after = by_uid(fetch_feed(token))
    both = before.keys() & after.keys()
    assert len(both) > 12
    for uid in both:
        assert before[uid]["DTSTART"].dt == after[uid]["DTSTART"].dt, uid
        assert before[uid]["SUMMARY"] == after[uid]["SUMMARY"], uid
        assert before[uid]["SEQUENCE"] <= after[uid]["SEQUENCE"], uid


def test_a_tick_changes_words_and_sequence_and_undo_changes_them_again(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    task = make_task(household, "Water the fern", member=organiser)
    _, token = feed_for(organiser)
    (first,) = events_of(fetch_feed(token))
    ticked(task, organiser)
    (done,) = events_of(fetch_feed(token))
    whole = Task.objects.select_related("chore", "household").get(pk=task.pk)
    ticking.undo(task=whole, member=organiser, now=NOW, horizon=HORIZON)
    (undone,) = events_of(fetch_feed(token))
    assert [str(each["SUMMARY"]) for each in (first, done, undone)] == [
        "Water the fern",
        "Done: Water the fern",
        "Water the fern",
    ]
    assert first["SEQUENCE"] < done["SEQUENCE"] < undone["SEQUENCE"]
    assert first["UID"] == done["UID"] == undone["UID"]


def test_a_changed_chore_changes_its_events_also_the_projected_ones(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    chore = make_chore(household, "Sweep", rule="FREQ=DAILY", who="fixed", fixed=organiser)
    _, token = feed_for(organiser)
    before = by_uid(fetch_feed(token))
    later = NOW + timedelta(minutes=1)
    with time_machine.travel(later, tick=False):
        change_chore(
            chore=chore,
            actor=organiser,
            now=later,
            horizon=HORIZON,
            name="Mop",
            caution="Wet floor.",
        )
        after = by_uid(fetch_feed(token))
    assert before.keys() == after.keys() and len(after) == 91
    for uid, event in after.items():
        assert event["SUMMARY"] == "Mop" and "Wet floor." in str(event["DESCRIPTION"])
        assert event["SEQUENCE"] > before[uid]["SEQUENCE"]
        assert event["DTSTAMP"].dt > before[uid]["DTSTAMP"].dt


def test_days_away_move_projected_tasks_with_a_higher_sequence(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    from household.chores.replanning import people_changed

    day = TODAY + timedelta(days=70)
    rule = f"FREQ=MONTHLY;BYMONTHDAY={day.day}"
    make_chore(household, "Drains", rule=rule, who="fixed", fixed=organiser, on_away=Shift.LATER)
    _, token = feed_for(organiser)
    before = by_uid(fetch_feed(token))
    later = NOW + timedelta(minutes=1)
    with time_machine.travel(later, tick=False):
        add_absence(member=organiser, days=Days(day, day))
        people_changed(household=household, now=later)
        after = by_uid(fetch_feed(token))
    (moved,) = [uid for uid in before if before[uid]["DTSTART"].dt == day]
    assert after[moved]["DTSTART"].dt == day + timedelta(days=1)
    assert after[moved]["SEQUENCE"] > before[moved]["SEQUENCE"]


def test_a_timed_task_is_in_utc_on_both_sides_of_the_clock_change(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    """Dublin goes from +00:00 to +01:00 on 29 March 2026 (IANA)."""
    make_chore(
        household, "Bins", rule="FREQ=DAILY", time="17:30", minutes=20, who="fixed", fixed=organiser
    )
    _, token = feed_for(organiser)
    ends = {event["DTEND"].dt for event in events_of(fetch_feed(token))}
    assert datetime(2026, 3, 28, 17, 30, tzinfo=UTC) in ends
    assert datetime(2026, 3, 29, 16, 30, tzinfo=UTC) in ends
    assert b"VTIMEZONE" not in fetch_feed(token).content


def test_a_members_feed_holds_what_is_theirs_and_an_areas_what_is_there(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    kitchen = make_area(household, "Kitchen")
    make_task(household, "Mine", member=organiser)
    make_task(household, "Theirs", member=member, area=kitchen)
    make_task(household, "Anyone’s", area=kitchen)
    both = ticked(make_task(household, "Done for me", member=organiser), member)
    assert both.done_by == member

    def names(kind: str, **fields: Any) -> set[str]:
        _, token = feed_for(organiser, kind, **fields)
        return {str(event["SUMMARY"]) for event in events_of(fetch_feed(token))}

    assert names("member") == {"Mine", "Done: Done for me"}
    assert names("member", member=member) == {"Theirs", "Done: Done for me"}
    assert names("area", area=kitchen) == {"Theirs (Dev)", "Anyone’s"}
    assert names("household") == {
        "Mine (Marit)",
        "Theirs (Dev)",
        "Anyone’s",
        "Done: Done for me (Dev)",
    }
    assert names("member", include_done=False) == {"Mine"}


def test_another_household_is_not_in_it(
    household: Household, organiser: Member, outsider: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_task(outsider.household, "Elsewhere", member=outsider)
    make_chore(outsider.household, "Elsewhere too", rule="FREQ=DAILY")
    _, token = feed_for(organiser, "household")
    assert events_of(fetch_feed(token)) == []


def test_hidden_titles_say_nothing(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    kitchen = make_area(household, "Secret room")
    make_chore(
        household,
        "Private",
        area=kitchen,
        rule="FREQ=DAILY",
        caution="Hush",
        who="fixed",
        fixed=organiser,
    )
    ticked(Task.objects.earliest("closes"), organiser)
    _, token = feed_for(organiser, "household", hide_titles=True)
    for what in ("events", "todos"):
        body = fetch_feed(token, what).content.decode()
        for word in ("Private", "Secret", "Hush", "Marit", "10 min"):
            assert word not in body
    titles = {str(event["SUMMARY"]) for event in events_of(fetch_feed(token))}
    assert titles == {"A task", "Done: a task"}


def test_the_link_stands_in_url_and_description_and_opens_a_page(
    household: Household, organiser: Member, child: Member, feed_for: Any, fetch_feed: Any
) -> None:
    task = make_task(household, "Fern", member=organiser)
    _, token = feed_for(organiser)
    (event,) = events_of(fetch_feed(token))
    link = f"http://testserver/h/{household.pk}/tasks/{task.pk}/"
    assert event["URL"] == link
    assert str(event["DESCRIPTION"]).splitlines()[-1] == link
    make_chore(household, "Feed the rabbit", rule="FREQ=DAILY", who="fixed", fixed=child)
    _, token = feed_for(child)
    assert "/chores/" not in fetch_feed(token).content.decode()


def test_cautions_are_carried_those_of_a_chore_and_those_of_a_one_off(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_task(household, "New socket", member=organiser, limits={"dangers": ["mains"]})
    whose = {"who": "fixed", "fixed": organiser}
    make_chore(household, "Gutters", rule="FREQ=MONTHLY", hazards=["ladder"], **whose)
    _, token = feed_for(organiser)
    told = {
        str(event["SUMMARY"]): str(event["DESCRIPTION"]) for event in events_of(fetch_feed(token))
    }
    assert "Mains electricity is for a licensed person." in told["New socket"]
    assert "ladder" in told["Gutters"].lower()


def test_an_any_day_task_stands_on_its_last_day_and_says_its_window(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    make_task(
        household,
        "Oven",
        member=organiser,
        day=None,
        opens=date(2026, 3, 9),
        closes=date(2026, 3, 15),
    )
    _, token = feed_for(organiser)
    (event,) = events_of(fetch_feed(token))
    assert event["DTSTART"].dt == date(2026, 3, 15)
    assert "Any day: 9 to 15 March." in str(event["DESCRIPTION"])


def test_two_hubs_and_two_households_make_different_uids(
    household: Household, organiser: Member, feed_for: Any, fetch_feed: Any
) -> None:
    with time_machine.travel(NOW + timedelta(seconds=3), tick=False):
        other = make_household(name="Other")
        keeper = make_member(other, "Sten", role="organiser")
    first = make_task(household, "A", member=organiser)
    second = make_task(other, "B", member=keeper)
    uids = []
    for owner, task in ((organiser, first), (keeper, second)):
        _, token = feed_for(owner)
        (event,) = events_of(fetch_feed(token))
        uids.append(str(event["UID"]).replace(f"t{task.pk}@", "t@"))
    assert uids[0] != uids[1]
    assert all(uid.isascii() for uid in uids)


def test_reading_costs_the_same_for_many_tasks_as_for_few(
    household: Household,
    organiser: Member,
    feed_for: Any,
    fetch_feed: Any,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    _, token = feed_for(organiser, "household")
    for number in range(3):
        make_chore(household, f"Chore {number}", rule="FREQ=DAILY")
    fetch_feed(token)
    with django_assert_max_num_queries(6):
        fetch_feed(token)
    for number in range(30):
        make_chore(household, f"More {number}", rule="FREQ=DAILY")
    fetch_feed(token)
    with django_assert_max_num_queries(6):
        fetch_feed(token)


def test_turns_are_projected_as_they_are_written_later(
    household: Household, organiser: Member, member: Member, feed_for: Any, fetch_feed: Any
) -> None:
    whose = [organiser.pk, member.pk]
    make_chore(household, "Beds", rule="FREQ=DAILY", who="turns", may=whose)
    _, token = feed_for(organiser, "household")
    names = [
        str(event["SUMMARY"])
        for event in sorted(events_of(fetch_feed(token)), key=lambda event: event["DTSTART"].dt)
    ]
    assert names[:2] * 45 + names[:1] == names
    assert set(names) == {"Beds (Marit)", "Beds (Dev)"}

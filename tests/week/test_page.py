"""What the week's page says: its place in the month, what waits, room, other rooms' lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from household.areas.models import Spotlight
from household.chores.models import Task
from household.people.models import Absence, Household, Member
from household.people.queries import members_with_absences
from household.week import ahead
from household.week.early import early_words
from household.week.extras import DAY_LINES, DayLine, DayLines
from household.week.links import why_address
from household.week.models import WeekPlan
from household.week.page import place_in_month, week_page
from household.week.queries import Week, read_week
from tests.factories import TODAY, make_area, make_chore, make_member, make_task

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]
MONDAY = date(2026, 3, 16)


def week_of(household: Household, day: date = MONDAY, today: date = TODAY) -> Week:
    return read_week(household, day, today)


@pytest.mark.parametrize(
    ("day", "words"),
    # A week belongs to the month of its Thursday, as an ISO 8601 week to its year; by a calendar.
    [
        (date(2026, 3, 2), "First week of March."),
        (date(2026, 3, 16), "Third week of March."),
        (date(2026, 3, 23), "Last week of March."),
        (date(2026, 3, 30), "First week of April."),
        (date(2026, 4, 27), "Last week of April."),
        (date(2026, 7, 27), "Last week of July."),
        (date(2026, 12, 28), "Last week of December."),
        (date(2027, 1, 4), "First week of January."),
    ],
)
def test_where_a_week_stands_in_its_month(household: Household, day: date, words: str) -> None:
    assert place_in_month(week_of(household, day)) == words


def test_the_spotlight_is_that_of_the_weeks_own_month(household: Household) -> None:
    kitchen, hall = make_area(household, "Kitchen"), make_area(household, "Hall")
    Spotlight.objects.create(household=household, month=date(2026, 3, 1), area=hall)
    Spotlight.objects.create(household=household, month=date(2026, 4, 1), area=kitchen)
    assert place_in_month(week_of(household)).endswith("Spotlight: Hall.")
    assert place_in_month(week_of(household, date(2026, 3, 30))).endswith("Spotlight: Kitchen.")


def test_equal_tasks_wait_as_one_line_each_with_its_own_day(
    household: Household, organiser: Member
) -> None:
    make_chore(household, "Cook supper", rule="FREQ=DAILY", minutes=30, who="anyone")
    make_task(household, "Once", day=MONDAY)
    context = week_page(week_of(household), chosen=None, day=None)
    supper = next(group for group in context["ours"] if group.name == "Cook supper")
    assert (len(supper.tasks), supper.minutes) == (7, 210)
    assert len({task.words for task in supper.tasks}) == 7
    assert [len(group.tasks) for group in context["ours"] if group.name == "Once"] == [1]


def test_what_has_a_person_stands_apart_from_the_households_own(
    household: Household, organiser: Member
) -> None:
    any_day = {"opens": MONDAY, "closes": MONDAY + timedelta(days=6), "day": None}
    make_task(household, "Hers", member=organiser, **any_day)
    make_task(household, "Ours", **any_day)
    context = week_page(week_of(household), chosen=None, day=None)
    assert [group.name for group in context["loose"]] == ["Hers"]
    assert context["loose"][0].tasks[0].words == "Any day by Sunday, Marit"
    assert [group.name for group in context["ours"]] == ["Ours"]


def test_room_for_a_breather_names_the_minutes_and_the_best_day(household: Household) -> None:
    # By hand: 7 x 20 free, 30 used on Monday, so 110 left; Saturday has 40 of it.
    ana = make_member(household, "Nadia", free_minutes=[20, 20, 20, 10, 10, 40, 20])
    make_member(household, "Full", free_minutes=[0] * 7)
    make_task(household, "Own", day=MONDAY, minutes=30, member=ana)
    context = week_page(week_of(household), chosen=None, day=None)
    assert context["rooms"] == ["Nadia has 110 minutes of room, most of it on Saturday."]


def test_notes_and_holidays_stand_at_their_days(household: Household) -> None:
    tuesday = date(2026, 3, 17)
    WeekPlan.objects.create(
        household=household, starts=MONDAY, day_notes={tuesday.isoformat(): "Gas man at 9"}
    )
    days = week_page(week_of(household), chosen=None, day=None)["days"]
    # Saint Patrick's Day is a public holiday in Ireland (Bank Holiday (Ireland) Act 1903).
    assert days[1]["notes"] == ["Saint Patrick's Day", "Gas man at 9"]
    assert days[0]["notes"] == []


def test_days_that_are_over_count_for_nobodys_room(household: Household, organiser: Member) -> None:
    wednesday = MONDAY + timedelta(days=2)
    (row,) = week_page(week_of(household, today=wednesday), chosen=None, day=None)["rows"]
    assert [cell.past for cell in row.cells] == [True, True, *[False] * 5]
    assert row.free == sum(organiser.free_on(day) for day in range(2, 7))


@pytest.fixture
def another_room() -> Iterator[None]:
    def suppers(household: Household, days: Sequence[date]) -> DayLines:
        return DayLines("Supper", {days[0]: [DayLine("Fish pie", "/pie/")]})

    def silent(household: Household, days: Sequence[date]) -> DayLines | None:
        return None

    DAY_LINES.extend([suppers, silent])
    yield
    DAY_LINES.remove(suppers)
    DAY_LINES.remove(silent)


def test_another_room_has_a_row_under_the_people(
    household: Household, organiser: Member, client_for: ClientFor, another_room: None
) -> None:
    page = client_for(organiser).get(f"/h/{household.pk}/week/{MONDAY}/").content.decode()
    assert '<th scope="row">Supper</th>' in page
    assert '<a href="/pie/">Fish pie</a>' in page


def test_why_me_is_asked_in_the_week_where_the_task_stands(
    household: Household, organiser: Member
) -> None:
    def first(**fields: object) -> str:
        task: Task = make_task(household, member=organiser, **fields)
        return why_address(household, task, TODAY).split("/week/")[1].split("/")[0]

    week = timedelta(days=7)
    assert first(day=MONDAY + timedelta(days=3)) == "2026-03-16"
    # Late ones stand in the week that holds today, any-day ones in the week of their first day.
    assert first(day=TODAY - 3 * week) == "2026-03-09"
    assert first(day=None, opens=TODAY - week, closes=TODAY + 3 * week) == "2026-03-09"
    assert first(day=None, opens=TODAY + week, closes=TODAY + 3 * week) == "2026-03-16"


def test_a_member_asks_why_from_the_task_and_from_the_week(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    task = make_task(household, "Sweep", day=MONDAY, member=member)
    why = why_address(household, task, TODAY)
    client = client_for(member)
    for path in (f"tasks/{task.pk}/", f"week/{MONDAY}/"):
        assert why in client.get(f"/h/{household.pk}/{path}").content.decode()
    assert "Sweep: why me?" in client.get(why).content.decode()
    assert "Sweep: why Dev?" in client_for(organiser).get(why).content.decode()


class TestEarly:
    """A warning in good time, worked out once until something changes."""

    @pytest.fixture
    def full(self, household: Household, organiser: Member) -> None:
        organiser.free_minutes = [10] * 7
        organiser.save()
        make_task(household, "Paint", day=date(2026, 3, 25), minutes=165, member=organiser)

    def test_it_names_the_week_and_the_minutes(self, household: Household, full: None) -> None:
        # 165 minutes of work, 7 x 10 free.
        assert early_words(household, TODAY) == [
            "Week of 23 March: 95 minutes more than there is time for."
        ]

    def test_only_organisers_are_warned_on_week_and_overview(
        self,
        household: Household,
        organiser: Member,
        member: Member,
        full: None,
        client_for: ClientFor,
    ) -> None:
        member.free_minutes = [0] * 7
        member.save()
        for path in ("week/2026-03-09/", "overview/"):
            told = client_for(organiser).get(f"/h/{household.pk}/{path}").content.decode()
            assert "95 minutes more than there is time for." in told
            assert "/week/ahead/" in told
            other = client_for(member).get(f"/h/{household.pk}/{path}").content.decode()
            assert "more than there is time for" not in other

    def test_it_is_worked_out_again_only_after_a_change(
        self, household: Household, full: None, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        early_words(household, TODAY)
        with CaptureQueriesContext(connection) as captured:
            early_words(household, TODAY)
        assert len(captured) == 0
        Task.objects.all().delete()
        household.revision += 1
        assert early_words(household, TODAY) == []

    def test_absences_are_seen_ahead(self, household: Household, organiser: Member) -> None:
        make_chore(household, "Cook", rule="FREQ=DAILY", minutes=20)
        Absence.objects.create(member=organiser, starts=date(2026, 3, 30), ends=date(2026, 4, 5))
        organiser = members_with_absences(household).get()
        weeks = {week.first: week for week in ahead.loads(household, TODAY)}
        assert weeks[date(2026, 3, 30)].tight
        assert not weeks[date(2026, 3, 23)].tight

"""The occasions' pages: what is coming up, adding and changing, the sets, gifts."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.occasions import actions
from household.occasions.models import Gift, LeadJob, LeadTask, Occasion
from household.people.models import Household, Member
from tests.factories import NOW, make_chore, make_task, screen_session
from tests.occasions.making import make_gift, make_job, make_occasion

pytestmark = pytest.mark.django_db
SignIn = Callable[[Member], Client]


def url(name: str, household: Household, *more: Any) -> str:
    return reverse(f"occasions:{name}", args=[household.pk, *more])


def typed(**values: Any) -> dict[str, Any]:
    """A birthday on 14 May as the form sends it."""
    usual = {"kind": "birthday", "who": "Ilse", "sort": "yearly", "day": "14", "month": "5"}
    return {**usual, "lasts": "1", "key": str(uuid.uuid4()), **values}


@pytest.fixture
def laptop(organiser: Member, client_for: SignIn) -> Client:
    return client_for(organiser)


# Adding ----------------------------------------------------------------------------------------


def test_a_birthday_needs_a_person_and_a_date_and_no_more(
    laptop: Client, household: Household
) -> None:
    answer = laptop.post(url("add", household), typed(), follow=True)
    occasion = Occasion.objects.get()
    assert (occasion.name, occasion.who, occasion.year) == ("Ilse’s birthday", "Ilse", None)
    page = answer.content.decode()
    assert "“Ilse’s birthday” is kept. It is in 63 days." in page
    assert "Thursday 14 May" in page and "Every year on 14 May" in page


def test_a_name_that_is_a_members_is_that_member(
    laptop: Client, household: Household, member: Member
) -> None:
    laptop.post(url("add", household), typed(who=" dev "))
    occasion = Occasion.objects.get()
    assert list(occasion.concerns.all()) == [member]
    assert (occasion.name, occasion.who) == ("Dev’s birthday", "")


def test_the_same_form_sent_twice_adds_one(laptop: Client, household: Household) -> None:
    values = typed()
    for _ in range(2):
        laptop.post(url("add", household), values)
    assert Occasion.objects.count() == 1


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"who": ""}, "Say what it is called, or whom it concerns."),
        ({"day": ""}, "Type the day of the month."),
        ({"day": "31", "month": "4"}, "There is no 31 April."),
        ({"day": "29", "month": "2", "year": "2015"}, "There is no 29 February 2015."),
        ({"day": "40"}, "Type a whole number from 1 to 31."),
        ({"sort": "once"}, "Type the year in which it is."),
        ({"year": "15"}, "Type a whole number from 1800 to 2200."),
        ({"kind": "party"}, "Select a valid choice"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_is_kept(
    values: dict[str, str], words: str, laptop: Client, household: Household
) -> None:
    answer = laptop.post(url("add", household), typed(notes="Likes plums", **values))
    assert answer.status_code == 422
    text = answer.content.decode()
    assert words in text and "Likes plums" in text
    assert not Occasion.objects.exists()


@pytest.mark.parametrize(
    ("values", "rule", "day"),
    [
        # Easter 2026 is on 5 April (OEIS A060958).
        ({"sort": "easter", "offset": "39"}, "39 days after Easter", "Thursday 14 May"),
        ({"sort": "easter", "offset": ""}, "Easter Sunday", "Sunday 5 April"),
        ({"sort": "easter", "orthodox": "on"}, "Orthodox Easter Sunday", "Sunday 12 April"),
        (
            {"sort": "nth", "nth": "2", "weekday": "6", "in_month": "5"},
            "The second Sunday of May",
            "Sunday 10 May",
        ),
        (
            {"sort": "near", "near": "0", "side": "before", "day": "24", "month": "5"},
            "The Monday on or before 24 May",
            "Monday 18 May",
        ),
        ({"sort": "once", "year": "2026"}, "14 May 2026", "Thursday 14 May"),
        ({"off": "monday", "day": "16", "month": "5"}, "Every year on 16 May", "Monday 18 May"),
    ],
)
def test_moving_feasts_are_typed_in_words_and_shown_in_words(
    values: dict[str, str], rule: str, day: str, laptop: Client, household: Household
) -> None:
    answer = laptop.post(
        url("add", household), typed(kind="feast", name="Our day", **values), follow=True
    )
    text = answer.content.decode()
    assert rule in text and day in text


def test_a_child_adds_and_changes_its_own_and_no_other(
    household: Household, organiser: Member, child: Member, client_for: SignIn
) -> None:
    client = client_for(child)
    client.post(url("add", household), typed())
    own = Occasion.objects.get()
    other = make_occasion(household, organiser)
    assert client.get(url("change", household, own.pk)).status_code == 200
    assert client.get(url("change", household, other.pk)).status_code == 403
    assert client.post(url("archive", household, other.pk)).status_code == 403
    assert "Change</a>" not in client.get(url("occasion", household, other.pk)).content.decode()


def test_changing_shows_what_stands_and_moves_it(
    laptop: Client, household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser, year=1988)
    form = laptop.get(url("change", household, occasion.pk)).context["form"]
    assert (form["day"].value(), form["month"].value(), form["year"].value()) == (9, 4, 1988)
    laptop.post(url("change", household, occasion.pk), typed(who="", name="Dev’s day"))
    occasion.refresh_from_db()
    assert (occasion.name, occasion.day, occasion.month) == ("Dev’s day", 14, 5)


def test_putting_away_can_be_taken_back_at_once(
    laptop: Client, household: Household, organiser: Member
) -> None:
    occasion = make_occasion(household, organiser)
    page = laptop.post(url("archive", household, occasion.pk), follow=True).content.decode()
    assert "is put away." in page and url("restore", household, occasion.pk) in page
    laptop.post(url("restore", household, occasion.pk))
    occasion.refresh_from_db()
    assert occasion.archived_at is None


# What is coming up -----------------------------------------------------------------------------


def test_the_list_goes_by_date_with_days_ages_and_lead_jobs(
    laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    make_occasion(household, organiser, "Uncle Per’s birthday", month=10, day=2)
    make_occasion(household, organiser, year=1988, concerns=[member])
    make_occasion(
        household, organiser, "Fair", kind="event", sort="once", month=3, day=11, year=2026,
        lasts=4,
    )  # fmt: skip
    context = laptop.get(url("list", household)).context
    fair, birthday = context["soon"]
    assert (fair.name, fair.days, fair.is_today) == ("Fair", "", True)
    assert "until 14 March" in fair.when
    assert (birthday.days, birthday.sub) == ("28", "turns 38")
    assert [(line.name, line.words) for line in birthday.leads] == [
        ("Buy the present", "for anyone, by 26 March"),
        ("Write the card", "for anyone, by 30 March"),
        ("Bake the cake", "for anyone, by 8 April"),
    ]
    assert [row.name for row in context["later"]] == ["Uncle Per’s birthday"]


def test_public_holidays_of_the_country_stand_beside_it(
    laptop: Client, household: Household
) -> None:
    # Saint Patrick's Day is a public holiday in Ireland (Organisation of Working Time Act 1997).
    page = laptop.get(url("list", household)).content.decode()
    assert "Tuesday 17 March" in page and "Patrick" in page


@pytest.mark.parametrize("name", ["list", "gifts", "sets"])
def test_as_many_queries_for_thirty_as_for_three(
    name: str, laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    def cost(count: int) -> int:
        for number in range(count):
            row = make_occasion(household, organiser, f"Day {count} {number}", concerns=[member])
            make_gift(household, organiser, f"Gift {number}", members=[member], occasion=row)
        laptop.get(url(name, household))
        with CaptureQueriesContext(connection) as seen:
            laptop.get(url(name, household))
        return len(seen)

    assert cost(3) == cost(27)


def test_one_occasion_costs_the_same_with_many_gifts(
    laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member])

    def cost(count: int) -> int:
        for number in range(count):
            make_gift(household, organiser, f"G {number}", members=[member], occasion=occasion)
        laptop.get(url("occasion", household, occasion.pk))
        with CaptureQueriesContext(connection) as seen:
            laptop.get(url("occasion", household, occasion.pk))
        return len(seen)

    assert cost(3) == cost(27)


# On other pages --------------------------------------------------------------------------------


def test_today_says_whose_birthday_and_which_holiday_it_is(
    laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    make_occasion(household, organiser, month=3, day=12, year=1988, concerns=[member])
    page = laptop.get(reverse("web:today", args=[household.pk])).content.decode()
    assert "Dev’s birthday, turns 38" in page
    other = make_occasion(household, organiser, "Name day", month=3, day=12)
    assert "Name day" in laptop.get(reverse("web:today", args=[household.pk])).content.decode()
    actions.archive_occasion(occasion=other, actor=organiser, now=NOW)
    assert "Name day" not in laptop.get(reverse("web:today", args=[household.pk])).content.decode()


def test_the_shared_screen_says_it_too_and_for_the_week(
    household: Household, organiser: Member
) -> None:
    make_occasion(household, organiser, month=3, day=12)
    make_occasion(household, organiser, "Quiz night", month=3, day=14)
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = screen_session(household, organiser)
    assert (
        "Dev’s birthday" in client.get(reverse("web:board", args=[household.pk])).content.decode()
    )
    week = client.get(reverse("web:board_week", args=[household.pk])).content.decode()
    assert "Quiz night" in week and "Saint Patrick" in week


def test_the_week_and_the_month_show_it_on_its_day_and_what_is_due_in_good_time(
    laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    make_occasion(household, organiser, concerns=[member])
    make_chore(household)
    make_task(household)
    week = laptop.get(reverse("week:week", args=[household.pk, date(2026, 4, 6)]))
    [row] = [row for row in week.context["extra_rows"] if row.title == "Occasions"]
    assert [[line.words for line in cell] for cell in row.cells][3] == ["Dev’s birthday"]
    april = laptop.get(reverse("week:month", args=[household.pk, 2026, 4]))
    days = {day.day: day for week in april.context["weeks"] for day in week["days"]}
    assert [each.words for each in days[date(2026, 4, 9)].occasions] == ["Dev’s birthday"]
    # Easter Monday 2026 (OEIS A060958) is a public holiday in Ireland.
    assert days[date(2026, 4, 6)].holiday == "Easter Monday"
    assert [each.name for each in april.context["in_time"]] == ["Bake the cake"]
    march = laptop.get(reverse("week:month", args=[household.pk, 2026, 3])).context
    assert [(each.by, each.name) for each in march["in_time"]] == [
        ("26 March", "Buy the present"),
        ("30 March", "Write the card"),
    ]
    assert "Write the card: Dev’s birthday" not in [each.name for each in march["any_day"]]


def test_next_year_is_looked_at_before_its_tasks_are_written(
    laptop: Client, household: Household, organiser: Member
) -> None:
    make_occasion(household, organiser, month=1, day=5)
    december = laptop.get(reverse("week:month", args=[household.pk, 2026, 12])).context["in_time"]
    assert [(each.by, each.name) for each in december] == [
        ("22 December", "Buy the present"),
        ("26 December", "Write the card"),
    ]
    assert not LeadTask.objects.exists()


# Sets and own lead jobs --------------------------------------------------------------------------

JOB = {
    "name": "Ring them",
    "days_before": "3",
    "window_days": "2",
    "minutes": "20",
    "min_age": "under_5",
    "work": "care",
    "keep_minutes": "5",
}


def test_an_organiser_edits_the_sets(laptop: Client, household: Household) -> None:
    page = laptop.get(url("sets", household)).content.decode()
    assert "14 days before" in page and "Buy the present" in page
    laptop.post(url("job_add", household, "birthday"), JOB)
    job = LeadJob.objects.get(name="Ring them")
    laptop.post(url("job", household, job.pk), {**JOB, "minutes": "25", "private": "on"})
    job.refresh_from_db()
    assert (job.minutes, job.private, job.kind) == (25, True, "birthday")
    page = laptop.post(url("job_archive", household, job.pk), follow=True).content.decode()
    assert "“Ring them” is taken out." in page
    assert laptop.post(url("job_add", household, "party"), JOB).status_code == 404


def test_a_set_does_not_grow_without_end(laptop: Client, household: Household) -> None:
    for number in range(9):
        make_job(household, f"Job {number}")
    answer = laptop.post(url("job_add", household, "birthday"), JOB)
    assert answer.status_code == 422 and "12 lead jobs are enough" in answer.content.decode()


def test_29_february_is_the_households_choice(
    laptop: Client, household: Household, organiser: Member
) -> None:
    make_occasion(household, organiser, "Leap day", month=2, day=29)
    shown = laptop.get(url("list", household)).context["later"][0].when
    laptop.post(url("sets", household), {"leap": "mar1"})
    moved = laptop.get(url("list", household)).context["later"][0].when
    assert ("28 February 2027" in shown, "1 March 2027" in moved) == (True, True)


def test_one_occasion_may_have_lead_jobs_of_its_own(
    household: Household, organiser: Member, member: Member, client_for: SignIn
) -> None:
    occasion = make_occasion(household, organiser)
    client = client_for(member)
    client.post(url("own_jobs", household, occasion.pk))
    client.post(url("own_job_add", household, occasion.pk), JOB)
    names = [lead["line"].name for lead in _leads(client, household, occasion)]
    assert names == ["Buy the present", "Write the card", "Ring them", "Bake the cake"]
    client.post(url("usual_jobs", household, occasion.pk))
    assert len(_leads(client, household, occasion)) == 3


def _leads(client: Client, household: Household, occasion: Occasion) -> list[Any]:
    found: list[Any] = client.get(url("occasion", household, occasion.pk)).context["leads"]
    return found


# Gifts -------------------------------------------------------------------------------------------


def test_a_gift_is_written_down_for_whom_the_occasion_concerns_and_given(
    laptop: Client, household: Household, organiser: Member, member: Member
) -> None:
    occasion = make_occasion(household, organiser, concerns=[member])
    address = f"{url('gift_add', household)}?occasion={occasion.pk}"
    form = laptop.get(address).context["form"]
    assert form["members"].value() == [member.pk]
    values = {"idea": "A kite", "members": [member.pk], "cost": "12.50", "key": uuid.uuid4()}
    for _ in range(2):
        laptop.post(address, values)
    gift = Gift.objects.get()
    assert gift.occasion == occasion and list(gift.members.all()) == [member]
    page = laptop.get(url("occasion", household, occasion.pk)).content.decode()
    assert "A kite" in page and "costs 12.50" in page
    laptop.post(url("give", household, gift.pk))
    assert "given in 2026" in laptop.get(url("gifts", household)).content.decode()
    laptop.post(url("gift_archive", household, gift.pk))
    laptop.get(url("gifts", household))  # says that it is put away
    assert "A kite" not in laptop.get(url("gifts", household)).content.decode()
    laptop.post(url("gift_restore", household, gift.pk))
    changed = {"idea": "A big kite", "who": "Ilse"}
    laptop.post(url("gift", household, gift.pk), changed)
    gift.refresh_from_db()
    assert (gift.idea, gift.who, list(gift.members.all())) == ("A big kite", "Ilse", [])


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "A few words will do."),
        ({"idea": "A kite"}, "Say whom it is for."),
        ({"idea": "A kite", "who": "Ilse", "cost": "dear"}, "Type an amount"),
        ({"idea": "A kite", "who": "Ilse", "given": "26"}, "Type a whole number from 1800"),
    ],
)
def test_a_gift_says_what_is_missing(
    values: dict[str, str], words: str, laptop: Client, household: Household
) -> None:
    answer = laptop.post(url("gift_add", household), values)
    assert answer.status_code == 422 and words in answer.content.decode()
    assert not Gift.objects.exists()

"""The very first page: who may make the household, what is filled in, and only once."""

from __future__ import annotations

from datetime import datetime

import pytest
from django.test import Client
from django.urls import reverse

from household.kit.errors import Refused
from household.people.actions import SignIn
from household.people.habits import usual_habits
from household.people.models import Account, Household, Member, Role
from household.start import code
from household.start.actions import THERE_IS_ONE, make_household
from household.start.queries import usual_here
from tests.factories import make_household as some_household

pytestmark = pytest.mark.django_db
PAGE, LOOK = "/start/", "/start/look/"


def sent(**changes: str) -> dict[str, str]:
    habits = usual_habits("Hollin Row 12", "NO").as_fields()
    own = {"person": "Nadia", "password": "larch-and-rowan-26", "filled_for": "NO"}
    return {**{name: str(value) for name, value in habits.items()}, **own, **changes}


@pytest.mark.parametrize("address", ["/", "/sign-in/"])
def test_every_way_in_leads_to_the_first_run(client: Client, address: str) -> None:
    assert client.get(address).headers["Location"] == PAGE


def test_it_makes_the_household_and_signs_its_organiser_in(client: Client) -> None:
    answer = client.post(PAGE, sent(code=code.new_code()))
    household, member = Household.objects.get(), Member.objects.get()
    assert answer.headers["Location"] == reverse("start:members", args=[household.pk])
    assert (household.name, household.country) == ("Hollin Row 12", "NO")
    assert household.time_zone == "Europe/Oslo"
    assert (member.name, member.role) == ("Nadia", Role.ORGANISER)
    assert member.account is not None
    assert member.account.username == "Nadia"
    assert member.account.check_password("larch-and-rowan-26")
    assert client.get(f"/h/{household.pk}/today/").status_code == 200
    assert not code.is_kept()


def test_afterwards_it_is_gone(client: Client) -> None:
    some_household()
    typed = code.new_code()
    assert client.get(PAGE).status_code == 404
    assert client.post(PAGE, sent(code=typed)).status_code == 404
    assert client.post(LOOK, {"code": typed}).status_code == 404
    assert client.get("/start/usual/").status_code == 404
    assert Household.objects.count() == 1
    assert client.get("/").headers["Location"] == "/sign-in/"


def test_sent_twice_at_once_it_makes_one() -> None:
    habits = usual_habits("Hollin Row 12", "NO")
    make_household(habits=habits, name="Nadia", sign_in=SignIn("nadia", "larch-and-rowan-26"))
    with pytest.raises(Refused, match=THERE_IS_ONE):
        make_household(habits=habits, name="Nadia", sign_in=SignIn("nadia", "x"))
    assert (Household.objects.count(), Account.objects.count()) == (1, 1)


@pytest.mark.parametrize("typed", ["AAAA-AAAA", ""])
def test_a_wrong_code_keeps_what_was_typed(client: Client, typed: str) -> None:
    code.new_code()
    answer = client.post(PAGE, sent(code=typed))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert ("That is not the code." if typed else "Type the code") in page
    assert 'value="Hollin Row 12"' in page
    assert 'value="Nadia"' in page
    assert 'value="larch-and-rowan-26"' in page
    assert not Household.objects.exists()
    assert code.is_kept()


def test_a_used_code_opens_nothing(client: Client) -> None:
    typed = code.new_code()
    code.use_up()
    assert client.post(PAGE, sent(code=typed)).status_code == 422
    assert not Household.objects.exists()


def test_guessing_is_slowed_down_and_the_right_code_waits_too(
    client: Client, now: datetime
) -> None:
    # The clock stands still: the first wait is a second, which a busy machine takes by itself.
    typed = code.new_code()
    for _ in range(40):
        answer = client.post(PAGE, sent(code="AAAA-AAAA"))
        if answer.status_code == 429:
            break
    else:
        pytest.fail("Forty guesses in a row met no wait.")
    answer = client.post(PAGE, sent(code=typed))
    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()
    assert not Household.objects.exists()


def test_a_weak_password_is_refused_and_the_code_still_works(client: Client) -> None:
    typed = code.new_code()
    answer = client.post(PAGE, sent(code=typed, password="12345678"))
    assert answer.status_code == 422
    assert not Account.objects.exists()
    assert client.post(PAGE, sent(code=typed)).status_code == 302


def test_a_name_that_is_taken_is_refused(client: Client) -> None:
    Account.objects.create_superuser("nadia", "other-password-26")
    answer = client.post(PAGE, sent(code=code.new_code()))
    assert answer.status_code == 422
    assert "That name is taken" in answer.content.decode()
    assert not Household.objects.exists()


# Unicode CLDR 48.2 (week, paper, measures) and IANA tzdata (zones), as calc.regions has them;
# tests/calc/test_regions.py checks each against the tables themselves.
@pytest.mark.parametrize(
    ("country", "zone", "languages", "expected"),
    [
        ("", "Europe/Oslo", "en-US", ("NO", "Europe/Oslo", 0, "A4", "metric")),
        ("", "America/Los_Angeles", "de", ("US", "America/Los_Angeles", 6, "Letter", "US")),
        ("", "", "en-AU,en;q=0.9", ("AU", "Australia/Sydney", 0, "A4", "metric")),
        ("GB", "Europe/Oslo", "nb-NO", ("GB", "Europe/London", 0, "A4", "UK")),
        ("XX", "", "", ("GB", "Europe/London", 0, "A4", "UK")),
    ],
)
def test_habits_come_from_the_browser_and_the_country(
    country: str, zone: str, languages: str, expected: tuple[str, str, int, str, str]
) -> None:
    found = usual_here(country=country, zone=zone, languages=languages)
    assert (
        found.country,
        found.time_zone,
        found.first_weekday,
        found.paper,
        found.units,
    ) == expected


def test_the_page_is_filled_in_from_the_languages_alone(client: Client) -> None:
    page = client.get(PAGE, headers={"Accept-Language": "en-US,en;q=0.9"}).content.decode()
    assert '<option value="US" selected>' in page
    assert "In United States: New York time, the week from Sunday" in page


def test_the_usual_part_follows_zone_and_country(client: Client) -> None:
    part = client.get("/start/usual/", {"zone": "Europe/Oslo", "country": ""}).content.decode()
    assert '<option value="NO" selected>' in part
    part = client.get("/start/usual/", {"zone": "Europe/Oslo", "country": "JP"}).content.decode()
    assert '<option value="JP" selected>' in part
    assert "Tokyo time" in part
    assert "<html" not in part


def test_without_script_another_country_brings_its_own_habits(client: Client) -> None:
    client.post(PAGE, sent(code=code.new_code(), country="US", units="UK"))
    household = Household.objects.get()
    assert household.time_zone == "America/New_York"
    assert (household.first_weekday, household.paper, household.date_order) == (6, "Letter", "mdy")
    assert household.units == "UK"  # this one was changed by hand


def test_looking_around_needs_the_code_and_nothing_else(client: Client) -> None:
    typed = code.new_code()
    answer = client.post(LOOK, {"code": "AAAA-AAAA"})
    assert answer.status_code == 422
    assert "One thing needs another look" in answer.content.decode()
    assert not Household.objects.exists()
    answer = client.post(LOOK, {"code": typed})
    household = Household.objects.get()
    assert answer.headers["Location"] == reverse("web:today", args=[household.pk])
    page = client.get(answer.headers["Location"]).content.decode()
    assert "You are signed in as" in page
    assert not code.is_kept()


@pytest.mark.parametrize("method", ["put", "delete", "patch"])
def test_other_methods_are_refused(client: Client, method: str) -> None:
    assert getattr(client, method)(PAGE).status_code == 405


def test_the_page_is_never_kept_by_a_browser(client: Client) -> None:
    assert "no-store" in client.get(PAGE).headers["Cache-Control"]


def test_without_a_code_it_says_how_to_get_one(client: Client) -> None:
    assert "No code is waiting." in client.get(PAGE).content.decode()
    code.new_code()
    assert "No code is waiting." not in client.get(PAGE).content.decode()

"""Members' pages: who may open them, what they keep, and what they say."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.people.absences import Days, add_absence
from household.people.models import Absence, Household, Member
from tests.factories import PASSWORD, TODAY, make_chore, make_member, make_task

pytestmark = pytest.mark.django_db
SignedIn = Callable[[Member], Client]

FOR_ORGANISERS = [
    ("get", "people:add"),
    ("post", "people:add"),
    ("get", "people:member"),
    ("post", "people:member"),
    ("post", "people:archive"),
    ("post", "people:restore"),
    ("post", "people:add_absence"),
    ("get", "people:absence"),
    ("post", "people:absence"),
    ("post", "people:remove_absence"),
    ("get", "people:settings"),
    ("post", "people:settings"),
]
FOR_EVERYBODY = [
    ("get", "people:members"),
    ("get", "people:profile"),
    ("post", "people:profile"),
    ("post", "people:switch"),
]


def address(name: str, household: Household, member: Member | None = None) -> str:
    """The page's address, with the numbers it needs."""
    alone = {"people:add", "people:settings", "people:members", "people:profile", "people:switch"}
    if name in alone:
        return reverse(name, args=[household.pk])
    assert member is not None
    args = [household.pk, member.pk]
    if name in ("people:absence", "people:remove_absence"):
        args.append(add_absence(member=member, days=Days(TODAY, TODAY)).pk)
    return reverse(name, args=args)


def typed(**fields: Any) -> dict[str, Any]:
    """A member form as a browser sends it."""
    usual: dict[str, Any] = {
        "name": "Ilo",
        "mark": "plum-half",
        "role": "member",
        "age_band": "adult",
        "weight": "10",
        **{f"free_{day}": "30" for day in range(7)},
        "username": "",
        "password": "",
        "theme": "",
    }
    return {**usual, **fields}


@pytest.mark.parametrize(("method", "name"), FOR_ORGANISERS + FOR_EVERYBODY)
def test_to_an_outsider_the_household_does_not_exist(
    client_for: SignedIn, outsider: Member, member: Member, method: str, name: str
) -> None:
    asked = address(name, member.household, member)
    assert getattr(client_for(outsider), method)(asked).status_code == 404


@pytest.mark.parametrize(("method", "name"), FOR_ORGANISERS)
@pytest.mark.parametrize("who", ["member", "child"])
def test_only_organisers_change_members_and_habits(
    client_for: SignedIn,
    organiser: Member,
    request: pytest.FixtureRequest,
    who: str,
    method: str,
    name: str,
) -> None:
    somebody: Member = request.getfixturevalue(who)
    asked = address(name, somebody.household, organiser)
    assert getattr(client_for(somebody), method)(asked).status_code == 404


@pytest.mark.parametrize(("method", "name"), FOR_ORGANISERS + FOR_EVERYBODY)
def test_nobody_comes_in_without_signing_in(
    client: Client, member: Member, method: str, name: str
) -> None:
    answer = getattr(client, method)(address(name, member.household, member))
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")


def test_members_of_other_households_are_not_found(
    client_for: SignedIn, organiser: Member, outsider: Member
) -> None:
    client, home = client_for(organiser), organiser.household
    for name in ("people:archive", "people:restore", "people:add_absence", "people:member"):
        assert client.post(reverse(name, args=[home.pk, outsider.pk])).status_code == 404
    absence = add_absence(member=outsider, days=Days(TODAY, TODAY))
    asked = reverse("people:remove_absence", args=[home.pk, organiser.pk, absence.pk])
    client.post(asked)
    assert Absence.objects.filter(pk=absence.pk).exists()


def test_list_shows_shares_free_time_and_where_everybody_is(
    client_for: SignedIn, organiser: Member, child: Member
) -> None:
    Member.objects.filter(pk=child.pk).update(weight=5, skills=["ironing", "laundry"])
    add_absence(member=child, days=Days(TODAY, TODAY + timedelta(days=3)))
    page = client_for(organiser).get(address("people:members", organiser.household))
    text = page.content.decode().replace("\N{NO-BREAK SPACE}", " ")
    for words in ("67 %", "33 %", "4 h 30", "Irons and runs the washing machine"):
        assert words in text
    assert "Away until Sunday" in text and "Child, 8 to 11" in text


def test_children_read_the_list_and_open_only_themselves(
    client_for: SignedIn, organiser: Member, child: Member
) -> None:
    home = child.household
    text = client_for(child).get(address("people:members", home)).content.decode()
    assert "Marit" in text and reverse("people:profile", args=[home.pk]) in text
    assert reverse("people:member", args=[home.pk, organiser.pk]) not in text
    assert reverse("people:add", args=[home.pk]) not in text


def test_list_asks_the_database_as_often_for_thirty_as_for_three(
    client_for: SignedIn, organiser: Member
) -> None:
    client, asked = client_for(organiser), address("people:members", organiser.household)

    def queries(people: int) -> int:
        while organiser.household.members.count() < people:
            each = make_member(organiser.household, signs_in=False)
            add_absence(member=each, days=Days(TODAY, TODAY))
        with CaptureQueriesContext(
            connection,
        ) as captured:
            assert client.get(asked).content.count(b'<th scope="row"') == people
        return len(captured)

    queries(1)
    assert queries(3) == queries(30)


def test_member_is_added_with_everything_typed(client_for: SignedIn, organiser: Member) -> None:
    client, home = client_for(organiser), organiser.household
    sent = typed(
        free_2="45",
        skills=["cooking", "driving"],
        dislike_garden="5",
        dislike_laundry="3",
        username="ilo",
        password=PASSWORD,
        mirrored="on",
        theme="dark",
    )
    answer = client.post(address("people:add", home), sent, follow=True)
    assert "Ilo lives here now." in answer.content.decode()
    ilo = home.members.get(name="Ilo")
    assert (ilo.hue, ilo.shape, ilo.free_on(2), ilo.theme) == ("plum", "half", 45, "dark")
    assert (ilo.skills, ilo.dislikes, ilo.mirrored) == (["cooking", "driving"], {"garden": 5}, True)
    assert Client().login(username="ilo", password=PASSWORD)


def test_refused_form_keeps_what_was_typed(client_for: SignedIn, organiser: Member) -> None:
    home = organiser.household
    taken = f"{organiser.hue}-{organiser.shape}"
    sent = typed(name="Ilona", mark=taken, weight="many", username="ilona", password="short")
    answer = client_for(organiser).post(address("people:add", home), sent)
    text = answer.content.decode()
    assert answer.status_code == 422
    for kept in ('value="Ilona"', 'value="many"', 'value="ilona"', f'value="{taken}" selected'):
        assert kept in text
    assert "is Marit’s. Choose another mark." in text
    assert "Type a number, for example 10." in text
    assert "This password is too short." in text
    assert "All but the password is still here" in text
    assert not home.members.filter(name="Ilona").exists()


def test_refusal_of_the_action_stands_at_its_field(
    client_for: SignedIn, organiser: Member, outsider: Member
) -> None:
    sent = typed(username="sten", password="guessed-it-26")
    answer = client_for(organiser).post(address("people:add", organiser.household), sent)
    assert answer.status_code == 422
    assert 'id="id_username_error"' in answer.content.decode()


def test_free_marks_are_offered_before_those_taken(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    text = client_for(organiser).get(address("people:add", member.household)).content.decode()
    free, taken = text.index('<optgroup label="Free">'), text.index('<optgroup label="Taken">')
    assert free < taken < text.index(f'value="{member.hue}-{member.shape}"')


def test_days_stand_in_the_order_of_the_household(client_for: SignedIn, organiser: Member) -> None:
    client, asked = client_for(organiser), address("people:add", organiser.household)

    def first_day() -> str:
        text = client.get(asked).content.decode()
        return min(range(7), key=lambda day: text.index(f'id="id_free_{day}"')).__str__()

    assert first_day() == "0"
    Household.objects.filter(pk=organiser.household_id).update(first_weekday=6)
    assert first_day() == "6"


def test_member_is_changed(client_for: SignedIn, organiser: Member, member: Member) -> None:
    asked = address("people:member", member.household, member)
    client = client_for(organiser)
    page = client.get(asked).content.decode()
    assert 'value="Dev"' in page and 'value="dev"' in page
    for _ in range(2):
        sent = typed(name="Devi", mark=f"{member.hue}-{member.shape}", username="dev")
        assert client.post(asked, sent).status_code == 302
    kept = Member.objects.get(pk=member.pk)
    assert kept.name == "Devi" and Client().login(username="dev", password=PASSWORD)


def test_last_organiser_cannot_give_up_the_role(client_for: SignedIn, organiser: Member) -> None:
    sent = typed(name="Marit", mark=f"{organiser.hue}-{organiser.shape}", username="marit")
    answer = client_for(organiser).post(
        address("people:member", organiser.household, organiser), sent
    )
    assert answer.status_code == 422
    assert "Make somebody else an organiser first." in answer.content.decode()


def test_organiser_who_sets_their_own_password_stays_signed_in(
    client_for: SignedIn, organiser: Member
) -> None:
    client, asked = client_for(organiser), address("people:member", organiser.household, organiser)
    sent = typed(
        name="Marit",
        mark=f"{organiser.hue}-{organiser.shape}",
        role="organiser",
        username="marit",
        password="rowan-and-fig-27",
    )
    client.post(asked, sent)
    assert client.get(asked).status_code == 200


def test_who_turns_too_young_for_a_task_hands_it_to_the_pool(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    chore = make_chore(member.household, min_age="adult", rule="FREQ=WEEKLY;COUNT=1")
    chore.tasks.update(member=member, sequence=1)
    sent = typed(name="Dev", mark=f"{member.hue}-{member.shape}", age_band="12_15", username="dev")
    answer = client_for(organiser).post(
        address("people:member", member.household, member), sent, follow=True
    )
    assert "1 task that is not for Dev any more can be taken" in answer.content.decode()
    assert chore.tasks.get().member is None


def test_who_leaves_is_signed_out_and_their_tasks_are_free(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    task = make_task(member.household, member=member)
    theirs, client = client_for(member), client_for(organiser)
    members = address("people:members", member.household)
    assert theirs.get(members).status_code == 200
    answer = client.post(address("people:archive", member.household, member), follow=True)
    text = answer.content.decode()
    assert "Dev lives here no more. Anyone can take the one open task now." in text
    assert "Bring Dev back" in text
    task.refresh_from_db()
    assert task.member is None
    assert theirs.get(members)["Location"].startswith("/sign-in/")
    assert client.post(address("people:archive", member.household, member)).status_code == 302
    restore = address("people:restore", member.household, member)
    for _ in range(2):
        assert client.post(restore, follow=True).status_code == 200
    assert Member.objects.get(pk=member.pk).archived_at is None
    assert Client().login(username="dev", password=PASSWORD)


def test_last_organiser_cannot_be_put_away(client_for: SignedIn, organiser: Member) -> None:
    answer = client_for(organiser).post(address("people:archive", organiser.household, organiser))
    assert answer.status_code == 422
    assert "Marit is the only organiser who can sign in." in answer.content.decode()


def test_days_away_are_added_changed_taken_out_and_put_back(
    client_for: SignedIn, organiser: Member, member: Member
) -> None:
    client = client_for(organiser)
    page = address("people:member", member.household, member)
    sent = {"away-starts": "2026-03-16", "away-ends": "2026-03-22", "away-note": "camp"}
    for _ in range(2):
        client.post(address("people:add_absence", member.household, member), sent)
    absence = member.absences.get()
    assert "Away 16 to 22 March: camp" in client.get(page).content.decode()

    change = reverse("people:absence", args=[member.household_id, member.pk, absence.pk])
    assert 'value="2026-03-16"' in client.get(change).content.decode()
    client.post(change, {**sent, "away-every_weeks": "2"})
    assert "every 2 weeks from 16 March: camp" in client.get(page).content.decode()

    remove = reverse("people:remove_absence", args=[member.household_id, member.pk, absence.pk])
    answer = client.post(remove, follow=True)
    assert not member.absences.exists()
    assert client.post(remove).status_code == 302

    back = {
        name: value
        for name, value in fields_of(answer.content.decode())
        if name.startswith("away-")
    }
    assert back == {**sent, "away-every_weeks": "2"}
    client.post(address("people:add_absence", member.household, member), back)
    assert member.absences.get().every_weeks == 2


def fields_of(text: str) -> list[tuple[str, str]]:
    """The hidden fields of the message that was just said."""
    notes = text[text.index('id="notes"') : text.index("<main")]
    parts = notes.split('<input type="hidden" name="')[1:]
    return [(part.split('"')[0], part.split('value="')[1].split('"')[0]) for part in parts]


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"away-starts": "", "away-ends": ""}, "Choose the first day."),
        (
            {"away-starts": "2026-03-22", "away-ends": "2026-03-16"},
            "This day is before the first one.",
        ),
        (
            {"away-starts": "2026-03-22", "away-ends": "2026-03-24", "away-every_weeks": "0"},
            "Type 1 week or more.",
        ),
        ({"away-starts": "2026-03-22", "away-ends": "2029-03-16"}, "more than two years"),
        (
            {
                "away-starts": "2026-03-22",
                "away-ends": "2026-03-24",
                "away-until": "2026-03-01",
            },
            "This day is before the first one.",
        ),
    ],
)
def test_days_away_that_make_no_sense_are_refused_and_kept(
    client_for: SignedIn,
    organiser: Member,
    member: Member,
    sent: dict[str, str],
    sentence: str,
) -> None:
    asked = address("people:add_absence", member.household, member)
    answer = client_for(organiser).post(asked, {**sent, "away-note": "camp"})
    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and 'value="camp"' in text
    assert not member.absences.exists()


def test_anybody_sets_how_their_pages_look(client_for: SignedIn, child: Member) -> None:
    client, asked = client_for(child), address("people:profile", child.household)
    for _ in range(2):
        assert client.post(asked, {"theme": "dark", "mirrored": "on"}).status_code == 302
    kept = Member.objects.get(pk=child.pk)
    assert (kept.theme, kept.mirrored) == ("dark", True)
    assert 'data-theme="dark"' in client.get(asked).content.decode()


def test_new_password_needs_the_old_one(client_for: SignedIn, child: Member) -> None:
    client, asked = client_for(child), address("people:profile", child.household)
    sent = {"theme": "light", "password": "not-it-26", "new_password": "fig-and-rowan-27"}
    answer = client.post(asked, sent)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "That is not the password you sign in with." in text
    assert 'value="light" required' in text or 'value="light"' in text
    assert "fig-and-rowan-27" not in text
    answer = client.post(asked, {**sent, "password": PASSWORD})
    assert answer.status_code == 302 and client.get(asked).status_code == 200
    assert Client().login(username="oona", password="fig-and-rowan-27")
    assert not Client().login(username="oona", password=PASSWORD)


def test_weak_password_is_refused(client_for: SignedIn, child: Member) -> None:
    asked = address("people:profile", child.household)
    answer = client_for(child).post(asked, {"password": PASSWORD, "new_password": "password"})
    assert answer.status_code == 422 and b"too common" in answer.content

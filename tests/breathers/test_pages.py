"""The pages of what does us good, and that a private breather shows nowhere to others."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from household.breathers.models import Breather, Company, Offer
from household.feeds.actions import Wanted, make_feed
from household.people.actions import touch_household
from household.people.models import Household, Member
from tests.breathers.making import make_idea, make_offer, make_private
from tests.factories import NOW, TODAY, make_household, make_member, screen_session

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Member], Client]
THIS = date(2026, 3, 9)
SECRET = "Learn to juggle"


def url(name: str, household: Household, *args: Any) -> str:
    return reverse(f"breathers:{name}", args=[household.pk, *args])


def text(answer: Any) -> str:
    return str(answer.content.decode())


@pytest.fixture
def screen(settings: Any, household: Household, organiser: Member) -> Client:
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = screen_session(household, organiser)
    return client


def test_the_first_touch_brings_ideas_and_this_weeks_offer(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    client = client_for(member)
    assert "Begin with a few ideas" in text(client.get(url("list", household)))
    answer = client.post(url("starter", household), follow=True)
    assert "ideas to begin with" in text(answer)
    this_week = answer.context["weeks"][0]["rows"]
    assert [row["who"] for row in this_week] == ["for you"], "alone at home, nothing for two"
    assert this_week[0]["name"] in text(client.get(reverse("week:week", args=[household.pk, THIS])))


@pytest.mark.parametrize("whose", ["ours", "mine", "private"])
def test_anybody_adds_changes_puts_away_and_brings_back(
    whose: str, household: Household, child: Member, client_for: ClientFor
) -> None:
    client = client_for(child)
    sent = {"name": "The den", "company": "oneself", "whose": whose, "minutes": "40"}
    assert client.post(url("add", household), sent).status_code == 302
    idea = Breather.objects.get()
    assert (idea.owner_id is not None, idea.private) == (whose != "ours", whose == "private")
    assert Offer.objects.filter(breather=idea, member=child).count() == 2
    client.post(url("idea", household, idea.pk), {**sent, "minutes": ""})
    idea.refresh_from_db()
    assert idea.minutes is None
    client.post(url("archive", household, idea.pk))
    assert not Offer.objects.exists()
    client.post(url("restore", household, idea.pk))
    assert Offer.objects.count() == 2


def test_what_is_for_two_or_all_is_everybodys(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    sent = {"name": "Cards", "company": "two", "whose": "private"}
    client_for(member).post(url("add", household), sent)
    idea = Breather.objects.get()
    assert idea.owner is None and not idea.private


def test_what_is_missing_is_said_and_what_was_typed_is_kept(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    sent = {"name": "", "company": "all", "minutes": "0"}
    answer = client_for(member).post(url("add", household), sent)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"name", "minutes"}


def test_an_offer_is_changed_by_those_who_are_in_it(
    household: Household,
    organiser: Member,
    member: Member,
    child: Member,
    client_for: ClientFor,
) -> None:
    make_idea(household, "Chess", company=Company.TWO)
    cards = make_idea(household, "Cards", company=Company.TWO)
    offer = make_offer(cards, member=member, other=child)
    page = url("offer", household, offer.pk)
    assert "Rather something else?" in text(client_for(child).get(page))
    answer = client_for(child).post(url("another", household, offer.pk), follow=True)
    assert "Chess" in text(answer)
    client_for(member).post(url("day", household, offer.pk), {"day": "2026-03-14"})
    offer.refresh_from_db()
    assert offer.day == date(2026, 3, 14)
    client_for(organiser).post(url("leave", household, offer.pk))
    offer.refresh_from_db()
    assert offer.left_out
    fourth = make_member(household, "Greta")
    assert "Rather something else?" not in text(client_for(fourth).get(page))
    refused = client_for(fourth).post(url("back", household, offer.pk))
    assert refused.status_code == 403


@pytest.mark.parametrize("day", ["2026-03-10", "2026-03-16", "soon"])
def test_a_day_that_is_over_or_of_another_week_is_refused(
    day: str, household: Household, member: Member, client_for: ClientFor
) -> None:
    offer = make_offer(make_idea(household), member=member)
    answer = client_for(member).post(url("day", household, offer.pk), {"day": day})
    assert answer.status_code == 422
    offer.refresh_from_db()
    assert offer.day == TODAY


def test_a_week_that_is_over_stays_as_it_was(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    past = make_offer(make_idea(household), member=member, starts=date(2026, 3, 2), day=None)
    assert client_for(member).post(url("leave", household, past.pk)).status_code == 422


def test_today_says_it_in_one_line_and_never_as_late(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    idea = make_idea(household, "The long walk", company=Company.ALL)
    offer = make_offer(idea)
    today = reverse("web:today", args=[household.pk])
    answer = client_for(member).get(today)
    assert "The long walk, all of us" in text(answer)
    assert answer.context["minutes_to_go"] == 0
    Offer.objects.update(day=date(2026, 3, 11))
    touch_household(household.pk)
    assert "The long walk" not in text(client_for(member).get(today)), "yesterday is over"
    assert offer.day == TODAY


def test_a_private_breather_shows_nowhere_to_others(
    household: Household,
    organiser: Member,
    member: Member,
    child: Member,
    screen: Client,
    client_for: ClientFor,
) -> None:
    idea = make_private(member, SECRET)
    offer = make_offer(idea, member=member)
    paths = [
        url("list", household),
        reverse("web:today", args=[household.pk]),
        reverse("week:week", args=[household.pk, THIS]),
    ]
    for path in paths:
        assert SECRET in text(client_for(member).get(path)), path
    others = reverse("web:today_of", args=[household.pk, member.pk])
    for viewer in (organiser, child):
        client = client_for(viewer)
        for path in [*paths, others, reverse("web:more", args=[household.pk])]:
            assert SECRET not in text(client.get(path)), f"{path} as {viewer}"
        for name in ("another", "day", "leave", "back"):
            assert client.post(url(name, household, offer.pk)).status_code == 404
        assert client.get(url("offer", household, offer.pk)).status_code == 404
        assert client.get(url("idea", household, idea.pk)).status_code == 404
        assert client.post(url("archive", household, idea.pk)).status_code == 404
        assert client.post(url("restore", household, idea.pk)).status_code == 404
    for name in ("web:board", "web:board_week"):
        answer = screen.get(reverse(name, args=[household.pk]))
        assert answer.status_code == 200
        assert SECRET not in text(answer)


def test_a_private_breather_put_away_is_nobodys_to_bring_back(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    make_private(member, SECRET)
    Breather.objects.update(archived_at=NOW)
    make_idea(household)
    assert SECRET in text(client_for(member).get(url("list", household)))
    assert SECRET not in text(client_for(organiser).get(url("list", household)))


def test_one_list_of_today_is_not_shown_from_what_was_kept_for_another(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    make_offer(make_private(member, SECRET), member=member)
    mine = reverse("web:today", args=[household.pk])
    of_member = reverse("web:today_of", args=[household.pk, member.pk])
    assert SECRET in text(client_for(member).get(mine))
    assert SECRET not in text(client_for(organiser).get(of_member))
    assert SECRET in text(client_for(member).get(of_member))


def test_the_board_has_what_everybody_may_read(
    household: Household, organiser: Member, member: Member, screen: Client
) -> None:
    make_offer(make_idea(household, "The long walk", company=Company.ALL))
    make_offer(make_idea(household, "Cards", company=Company.TWO), member=organiser, other=member)
    make_offer(make_idea(household, "The bath"), member=member)
    shown = text(screen.get(reverse("web:board", args=[household.pk])))
    for words in ("The long walk", "Marit and Dev", "For Dev"):
        assert words in shown
    for n in range(4):
        make_offer(make_idea(household, f"Idea {n}"), member=make_member(household, f"Friend {n}"))
    touch_household(household.pk)
    lines = screen.get(reverse("web:board", args=[household.pk])).context["good"]
    assert [line.name for line in lines][:3] == ["The long walk", "Cards", "The bath"]
    assert len(lines) == 4


def feed(owner: Member, kind: str, **fields: Any) -> str:
    wanted = Wanted(kind=kind, label="Ours", **fields)
    _, token = make_feed(owner=owner, wanted=wanted, now=NOW, key=uuid4())
    return text(Client().get(reverse("feed_door:events", args=[token]))).replace("\r\n ", "")


def test_calendars_have_ones_own_and_what_is_together(
    household: Household, organiser: Member, member: Member
) -> None:
    make_offer(make_private(member, SECRET), member=member)
    make_offer(make_idea(household, "The bath"), member=organiser)
    make_offer(make_idea(household, "The long walk", company=Company.ALL))
    cards = make_offer(
        make_idea(household, "Cards", company=Company.TWO), member=organiser, other=member
    )
    own = feed(member, "member", member=member)
    assert SECRET in own and "The bath" not in own
    assert "SUMMARY:Cards (Marit and Dev)" in own and "SUMMARY:The long walk (all of us)" in own
    by_another = feed(organiser, "member", member=member)
    assert SECRET not in by_another and "Cards" in by_another
    everybody = feed(member, "household")
    assert SECRET not in everybody and "The bath" not in everybody
    assert "Cards" in everybody and f"UID:b{cards.pk}@" in everybody
    hidden = feed(member, "member", member=member, hide_titles=True)
    assert "Time for ourselves" in hidden
    for words in (SECRET, "Cards", "The long walk"):
        assert words not in hidden


def test_a_changed_offer_keeps_its_uid_and_grows_its_sequence(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    make_idea(household, "Two")
    offer = make_offer(make_idea(household, "One"), member=member)
    wanted = Wanted(kind="member", label="Mine", member=member)
    _, token = make_feed(owner=member, wanted=wanted, now=NOW, key=uuid4())

    def event() -> dict[str, str]:
        body = text(Client().get(reverse("feed_door:events", args=[token])))
        lines = body[body.index("BEGIN:VEVENT") :].split("\r\n")
        return dict(line.split(":", 1) for line in lines if ":" in line)

    before = event()
    client_for(member).post(url("another", household, offer.pk))
    after = event()
    assert after["UID"] == before["UID"]
    assert (before["SUMMARY"], after["SUMMARY"]) == ("One", "Two")
    assert int(after["SEQUENCE"]) > int(before["SEQUENCE"])
    client_for(member).post(url("leave", household, offer.pk))
    assert "BEGIN:VEVENT" not in text(Client().get(reverse("feed_door:events", args=[token])))


@pytest.mark.parametrize("which", ["list", "offer", "week", "today"])
def test_as_many_queries_for_thirty_rows_as_for_three(
    which: str, now: Any, client_for: ClientFor
) -> None:
    def queries(count: int) -> int:
        home = make_household()
        members = [make_member(home, role="organiser") for _ in range(count)]
        for n, member in enumerate(members):
            make_offer(make_idea(home, f"Idea {n}"), member=member)
        first = Offer.objects.filter(household=home).earliest("id")
        path = {
            "list": url("list", home),
            "offer": url("offer", home, first.pk),
            "week": reverse("week:week", args=[home.pk, THIS]),
            "today": reverse("web:today", args=[home.pk]),
        }[which]
        client = client_for(members[0])
        client.get(path)
        with CaptureQueriesContext(connection) as captured:
            assert client.get(path).status_code == 200
        return len(captured)

    assert queries(3) == queries(30)


def test_whoever_comes_to_live_here_is_offered_something_at_once_and_who_leaves_no_more(
    household: Household, organiser: Member, member: Member, client_for: ClientFor
) -> None:
    make_idea(household, "The bath")
    make_idea(household, "Cards", company=Company.TWO)
    client = client_for(organiser)
    client.post(url("starter", household))
    form = client.get(reverse("people:add", args=[household.pk])).context["form"]
    shown = {name: form[name].value() for name in form.fields}
    known = {name: value for name, value in shown.items() if value not in (None, "", [])}
    sent = {**known, "name": "Greta", "mark": form.fields["mark"].choices[0][1][0][0]}
    answer = client.post(reverse("people:add", args=[household.pk]), sent)
    assert answer.status_code == 302, answer.context["form"].errors
    greta = Member.objects.get(name="Greta")
    assert Offer.objects.filter(member=greta, company=Company.ONESELF).count() == 2
    client.post(reverse("people:archive", args=[household.pk, greta.pk]))
    assert "For Greta" not in text(client.get(url("list", household)))


def test_a_private_breather_is_not_printed_with_the_week(
    household: Household, member: Member, client_for: ClientFor
) -> None:
    make_offer(make_private(member, SECRET), member=member)
    shared = make_offer(make_idea(household, "Cards", company=Company.ALL))
    week = reverse("week:week", args=[household.pk, THIS])
    page = text(client_for(member).get(week))
    secret = page[: page.index(SECRET)].rsplit("<span", 1)[1]
    open_to_all = page[: page.index(shared.breather.name)].rsplit("<span", 1)[1]
    assert "no-print" in secret and "no-print" not in open_to_all

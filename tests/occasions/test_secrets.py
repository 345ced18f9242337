"""What is got ready for somebody is nowhere to be seen for them: every page is walked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from uuid import uuid4

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from household.chores import ticking
from household.chores.models import Task
from household.feeds.actions import Wanted as WantedFeed
from household.feeds.actions import make_feed
from household.occasions.models import LeadTask, Occasion
from household.people.models import Household, Member
from household.week import sitting
from household.week.queries import read_week
from tests.factories import NOW, TODAY, make_area, make_task, screen_session
from tests.occasions.making import make_gift, make_occasion

pytestmark = pytest.mark.django_db
HORIZON = TODAY + timedelta(days=28)
SECRETS = ("telescope", "Buy the present", "Write the card", "Bake the cake")
SignIn = Callable[[Member], Client]


@pytest.fixture
def occasion(household: Household, organiser: Member, member: Member, child: Member) -> Occasion:
    """Dev's birthday in two weeks: one job done, one late, one planned for today, one free."""
    make_area(household, "Kitchen")
    found = make_occasion(household, organiser, concerns=[member], month=3, day=20)
    make_gift(household, organiser, "A telescope", members=[member], occasion=found)
    make_gift(household, child, "The second telescope", members=[member], given=2025)
    tasks = {row.job.name: row.task for row in LeadTask.objects.select_related("job", "task")}
    ticking.assign(task=tasks["Write the card"], to=organiser, actor=organiser, now=NOW)
    ticking.tick(task=tasks["Write the card"], member=organiser, now=NOW, horizon=HORIZON)
    Task.objects.filter(pk=tasks["Buy the present"].pk).update(
        opens=TODAY - timedelta(days=9), closes=TODAY - timedelta(days=2), member=child
    )
    Task.objects.filter(pk=tasks["Bake the cake"].pk).update(
        opens=TODAY, closes=TODAY + timedelta(days=1), day=None
    )
    return found


def pages(household: Household, occasion: Occasion, viewer: Member) -> Iterator[str]:
    """Every page on which tasks, entries or occasions stand, as this member may ask for it."""
    at = [household.pk]
    names = ["web:today", "web:more", "web:hand_work", "requests:list", "people:members"]
    names += ["overview:overview", "overview:history", "overview:keepers", "week:ahead"]
    names += ["occasions:list", "occasions:gifts", "occasions:add", "feeds:calendars"]
    yield from (reverse(name, args=at) for name in names)
    yield from (reverse("web:search", args=at) + f"?q={word}" for word in ("tele", "card", "cake"))
    for person in household.members.all():
        yield reverse("web:today_of", args=[household.pk, person.pk])
    for first in ("2026-03-09", "2026-03-16"):
        yield reverse("week:week", args=[household.pk, first])
        yield reverse("week:week_fit", args=[household.pk, first])
    for month in (3, 4):
        yield reverse("week:month", args=[household.pk, 2026, month])
    yield reverse("week:year", args=[household.pk, 2026])
    yield reverse("web:hand_work", args=at) + "?from=everybody&days=overdue"
    yield reverse("occasions:occasion", args=[household.pk, occasion.pk])
    yield reverse("occasions:change", args=[household.pk, occasion.pk])
    yield reverse("occasions:gift_add", args=at) + f"?occasion={occasion.pk}"
    for task in Task.objects.filter(household=household):
        yield reverse("web:task", args=[household.pk, task.pk])
        yield reverse("week:why", args=[household.pk, "2026-03-09", task.pk])


def seen(client: Client, household: Household, occasion: Occasion, viewer: Member) -> set[str]:
    """Which of the secrets stand on any of the pages."""
    found = set()
    for address in pages(household, occasion, viewer):
        text = client.get(address, follow=True).content.decode()
        found |= {secret for secret in SECRETS if secret in text}
    return found


def test_the_person_concerned_sees_nothing_on_any_page(
    household: Household, member: Member, occasion: Occasion, client_for: SignIn
) -> None:
    assert seen(client_for(member), household, occasion, member) == set()


def test_nor_does_an_organiser_on_their_own_birthday(
    household: Household,
    organiser: Member,
    member: Member,
    child: Member,
    client_for: SignIn,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sitting, "SECONDS", 0.2)
    mine = make_occasion(
        household, member, "Marit’s birthday", concerns=[organiser], month=3, day=20
    )
    make_gift(household, member, "A telescope", members=[organiser], occasion=mine)
    client = client_for(organiser)
    assert seen(client, household, mine, organiser) == set()
    share = reverse("week:week_share", args=[household.pk, "2026-03-09"])
    text = client.post(share, follow=True).content.decode()
    text += client.get(
        reverse("week:week_settle", args=[household.pk, "2026-03-09"])
    ).content.decode()
    assert not [secret for secret in SECRETS if secret in text]


def test_everybody_else_sees_all_of_it(
    household: Household, organiser: Member, child: Member, occasion: Occasion, client_for: SignIn
) -> None:
    assert seen(client_for(organiser), household, occasion, organiser) == set(SECRETS)
    assert seen(client_for(child), household, occasion, child) == set(SECRETS)


def test_the_shared_screen_shows_none_of_it(
    household: Household, organiser: Member, occasion: Occasion
) -> None:
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = screen_session(household, organiser)
    text = ""
    for name in ("web:board", "web:board_week"):
        answer = client.get(reverse(name, args=[household.pk]))
        assert answer.status_code == 200
        text += answer.content.decode()
    for task in Task.objects.all():
        answer = client.get(reverse("web:board_task", args=[household.pk, task.pk]))
        assert answer.status_code == 404
    assert not [secret for secret in SECRETS if secret in text]


def feed_text(client: Client, owner: Member, kind: str, about: Member | None = None) -> str:
    _, token = make_feed(
        owner=owner,
        wanted=WantedFeed(kind=kind, label="Ours", member=about),
        now=NOW,
        key=uuid4(),
    )
    events = client.get(reverse("feed_door:events", args=[token]))
    assert events.status_code == 200
    return events.content.decode().replace("\r\n ", "")


def test_calendars_show_it_only_to_whom_they_belong(
    household: Household, organiser: Member, member: Member, child: Member, occasion: Occasion
) -> None:
    client = Client()
    for owner, kind, about in (
        (member, "member", member),
        (member, "household", None),
        (organiser, "household", None),
        (member, "member", child),  # a calendar of another's tasks, read by the one concerned
    ):
        text = feed_text(client, owner, kind, about)
        assert not [secret for secret in SECRETS if secret in text], (owner, kind, about)
    assert "Buy the present" in feed_text(client, child, "member", child)


def test_their_touches_find_no_such_task(
    household: Household, member: Member, occasion: Occasion, client_for: SignIn
) -> None:
    client = client_for(member)
    for task in Task.objects.all():
        for name in ("web:tick", "web:take", "web:skip"):
            address = reverse(name, args=[household.pk, task.pk])
            assert client.post(address, {"reason": "x"}).status_code == 404


def test_gifts_of_ones_own_are_not_found_by_number(
    household: Household, member: Member, occasion: Occasion, client_for: SignIn
) -> None:
    client = client_for(member)
    for gift in household.gifts.all():
        for name in ("gift", "give", "gift_archive"):
            address = reverse(f"occasions:{name}", args=[household.pk, gift.pk])
            assert client.post(address).status_code == 404


def test_a_gift_for_oneself_is_refused(
    household: Household, member: Member, occasion: Occasion, client_for: SignIn
) -> None:
    client = client_for(member)
    address = reverse("occasions:gift_add", args=[household.pk])
    answer = client.post(address, {"idea": "A kite", "who": "dev"})
    assert answer.status_code == 422
    assert "would not stay a secret" in answer.content.decode()


def test_it_cannot_be_swapped_with_the_one_concerned(
    household: Household, organiser: Member, member: Member, occasion: Occasion, client_for: SignIn
) -> None:
    cake = LeadTask.objects.get(job__name="Bake the cake").task
    ticking.assign(task=cake, to=organiser, actor=organiser, now=NOW)
    theirs = make_task(household, "Mow the lawn", member=member)
    values = {"offered": cake.pk, "wanted": theirs.pk}
    answer = client_for(organiser).post(reverse("web:swap_offer", args=[household.pk]), values)
    assert answer.status_code == 422
    assert "Dev does not do this one." in answer.content.decode()


def test_the_share_out_gives_it_to_somebody_else(
    household: Household, organiser: Member, member: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sitting, "SECONDS", 0.2)
    household.members.update(free_minutes=[120] * 7)
    make_occasion(household, member, "Marit’s birthday", concerns=[organiser], month=3, day=20)
    week = read_week(household, TODAY, TODAY)
    sitting.share(week)
    mine = {str(row.task_id) for row in LeadTask.objects.filter(task__closes__lte=week.last)}
    assert len(mine) == 2
    assert {week.plan.places[each]["member"] for each in mine} == {member.pk}

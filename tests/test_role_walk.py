"""Every address and every method, walked by every role: who gets in stands in one table.

An address that is not in the table fails the test: whoever adds one says here whom it is for.
Roles: o organiser, m member, c child, s shared screen, x outsider (the organiser of another
household), h helper from outside (a browser that has opened a helper's link, and ticked there),
n nobody (not signed in).
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.conf import settings
from django.core import signing
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from household.areas.models import Area
from household.chores import swapping
from household.devices import actions as devices
from household.devices.models import Device, DeviceKind, Notice
from household.feeds.actions import Wanted, make_feed
from household.feeds.models import Subscription
from household.helpers.models import HelperList
from household.people.models import Absence, Household, Member
from household.requests.models import Estimate
from household.web.hand_views import SALT
from tests.breathers.making import make_idea, make_offer
from tests.factories import NOW, TODAY, make_area, make_chore, make_task, screen_session
from tests.helpers.making import make_list, make_note
from tests.occasions.making import make_gift, make_job, make_occasion
from tests.requests.making import make_appliance, make_outsider, make_photo, make_request

pytestmark = pytest.mark.django_db
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
ROLES = "omcsxhn"
ALL = ROLES
OMC, OM, ONE = "omc", "om", "o"

# address: who may look (GET), who may change (POST). Nothing answers to any other method.
TABLE: dict[str, tuple[str, str]] = {
    # the door
    "door:home": (ALL, ""),
    "door:sign_in": (ALL, ALL),
    "door:sign_out": ("", ALL),
    "door:by_typing": (ALL, ALL),
    "door:by_link": (ALL, ALL),
    "door:healthz": (ALL, ""),
    # only while there is no household at all
    "first:page": ("", ""),
    "first:usual": ("", ""),
    "first:look": ("", ""),
    # calendar programs bring a secret address instead of a session
    "feed_door:events": (ALL, ""),
    "feed_door:todos": (ALL, ""),
    # so do helpers from outside; whoever knows the address gets in, whoever else they are
    "helper_door:list": (ALL, ""),
    "helper_door:tick": ("", ALL),
    "helper_door:undo": ("", ALL),
    "helper_door:say": ("", ALL),
    # today and tasks
    "web:today": (OMC, ""),
    "web:today_of": (OMC, ""),
    "web:more": (OMC, ""),
    "web:glossary": (OMC, ""),
    "web:search": (OMC, ""),
    "web:add": (OMC, OMC),
    "web:task": (OMC, ""),
    "web:tick": ("", OMC),
    "web:undo": ("", OMC),
    "web:take": ("", OMC),
    "web:skip": ("", OMC),
    "web:longer": ("", OMC),
    "web:shorter": ("", OMC),
    "web:measure": ("", OMC),
    "web:hand": ("", OMC),
    "web:move": ("", OM),
    "web:hand_work": (OM, OM),
    "web:hand_back": ("", OM),
    "web:swap_offer": ("", OMC),
    "web:swap_agree": ("", OMC),
    "web:swap_decline": ("", OMC),
    "web:swap_withdraw": ("", OMC),
    # the shared screen
    "web:board": ("s", ""),
    "web:board_week": ("s", ""),
    "web:board_task": ("s", ""),
    "web:board_tick": ("", "s"),
    "web:board_undo": ("", "s"),
    "web:board_take": ("", "s"),
    "feeds:occasion_list": (OM, OM),
    # occasions: a child looks and adds; the sets are an organiser's; a gift is for who may see it
    "occasions:list": (OMC, ""),
    "occasions:add": (OMC, OMC),
    "occasions:occasion": (OMC, ""),
    "occasions:change": (OMC, OMC),
    "occasions:archive": ("", OMC),
    "occasions:restore": ("", OMC),
    "occasions:own_jobs": ("", OM),
    "occasions:usual_jobs": ("", OM),
    "occasions:own_job_add": (OM, OM),
    "occasions:sets": (ONE, ONE),
    "occasions:job_add": (ONE, ONE),
    "occasions:job": (OM, OM),
    "occasions:job_archive": ("", OM),
    "occasions:job_restore": ("", OM),
    "occasions:gifts": (OMC, ""),
    "occasions:gift_add": (OMC, OMC),
    "occasions:gift": (OMC, OMC),
    "occasions:give": ("", OMC),
    "occasions:gift_archive": ("", OMC),
    "occasions:gift_restore": ("", OMC),
    # requests: a child asks and answers; what is outside the home is for grown-ups
    "requests:ask": (OMC, OMC),
    "requests:look": ("", OMC),
    "requests:emergency": (OMC, ""),
    "requests:screen_ask": ("s", "s"),
    "requests:screen_look": ("", "s"),
    "requests:screen_emergency": ("s", ""),
    "requests:screen_asked": ("s", ""),
    "requests:list": (OMC, ""),
    "requests:remind": ("", OMC),
    "requests:settings": (ONE, ONE),
    "requests:area": (OMC, ""),
    "requests:photo": (OMC, ""),
    "requests:photo_away": ("", OMC),
    "requests:request": (OMC, ""),
    "requests:take": ("", OMC),
    "requests:cannot": ("", OMC),
    "requests:give_back": ("", OMC),
    "requests:again": ("", OMC),
    "requests:outside": ("", OM),
    "requests:finish": ("", OM),
    "requests:thank": ("", OMC),
    "requests:withdraw": ("", OMC),
    "requests:dangers": ("", OM),
    "requests:text": (OM, ""),
    "requests:estimate": ("", OM),
    "requests:choose": ("", OM),
    "requests:outsiders": (OM, ""),
    "requests:outsider_add": (OM, OM),
    "requests:outsider": (OM, OM),
    "requests:outsider_archive": ("", OM),
    "requests:outsider_restore": ("", OM),
    "requests:register": (OM, ""),
    "requests:appliance_add": (ONE, ONE),
    "requests:appliance": (OM, ""),
    "requests:appliance_change": (ONE, ONE),
    "requests:appliance_archive": ("", ONE),
    "requests:appliance_restore": ("", ONE),
    "requests:service": ("", ONE),
    # what does us good: a private idea is its owner's alone, who organises or not
    "breathers:list": (OMC, ""),
    "breathers:add": (OMC, OMC),
    "breathers:starter": ("", OMC),
    "breathers:idea": (OMC, OMC),
    "breathers:archive": ("", OMC),
    "breathers:restore": ("", OMC),
    "breathers:offer": (OMC, ""),
    "breathers:another": ("", OMC),
    "breathers:day": ("", OMC),
    "breathers:leave": ("", OMC),
    "breathers:back": ("", OMC),
    # lists for helpers from outside, and house notes
    "helpers:lists": (ONE, ""),
    "helpers:make": (ONE, ONE),
    "helpers:one": (ONE, ""),
    "helpers:change": (ONE, ONE),
    "helpers:tasks": (ONE, ONE),
    "helpers:address": ("", ONE),
    "helpers:stop": ("", ONE),
    "helpers:start": ("", ONE),
    "helpers:notes": (OMC, ""),
    "helpers:note_add": (ONE, ONE),
    "helpers:note": (ONE, ONE),
    "helpers:note_archive": ("", ONE),
    "helpers:note_restore": ("", ONE),
    # people and the household
    "people:switch": ("", OMC),
    "people:profile": (OMC, OMC),
    "people:settings": (ONE, ONE),
    "people:members": (OMC, ""),
    "people:add": (ONE, ONE),
    "people:member": (ONE, ONE),
    "people:archive": ("", ONE),
    "people:restore": ("", ONE),
    "people:add_absence": ("", ONE),
    "people:absence": (ONE, ONE),
    "people:remove_absence": ("", ONE),
    # devices: a member's own, an organiser's all
    "devices:list": (OMC, ""),
    "devices:member_code": (ONE, ONE),
    "devices:screen": (ONE, ONE),
    "devices:code_state": (ONE, ""),
    "devices:rename": (OMC, OMC),
    "devices:switch_off": ("", OMC),
    "devices:see_notice": ("", OMC),
    # areas and chores
    "areas:list": (OMC, ""),
    "areas:add": (ONE, ONE),
    "areas:spotlight": ("", ONE),
    "areas:area": (ONE, ONE),
    "areas:place": ("", ONE),
    "areas:archive": ("", ONE),
    "areas:restore": ("", ONE),
    "chores:list": (OM, ""),
    "chores:add": (ONE, ONE),
    "chores:preview": (ONE, ""),
    "chores:minutes": (ONE, ""),
    "chores:take_minutes": ("", ONE),
    "chores:give_minutes_back": ("", ONE),
    "chores:chore": (OM, ""),
    "chores:change": (ONE, ONE),
    "chores:archive": ("", ONE),
    "chores:restore": ("", ONE),
    "chores:copy": ("", ONE),
    # the overview
    "overview:overview": (OMC, ""),
    "overview:history": (OMC, ""),
    "overview:keepers": (OMC, ""),
    "overview:hand": ("", ONE),
    "overview:settle": ("", OM),
    "overview:move": ("", OM),
    "overview:lighter": ("", OM),
    "overview:drop": ("", OM),
    "overview:take_back": ("", OM),
    # calendars: one's own
    "feeds:calendars": (OMC, ""),
    "feeds:how": (OMC, ""),
    "feeds:make": (OMC, OMC),
    "feeds:renew": ("", OMC),
    "feeds:stop": ("", OMC),
    "feeds:start": ("", OMC),
    "feeds:subscribe": (OM, OM),
    "feeds:import": (OM, OM),
    "feeds:subscription": (OM, ""),
    "feeds:look": ("", OM),
    "feeds:take_out": ("", OM),
    "feeds:take_back": ("", OM),
    # the week, the month, the year
    "week:this": (OMC, ""),
    "week:week": (OMC, ""),
    "week:week_share": ("", ONE),
    "week:week_proof": (ONE, ""),
    "week:week_settle": (ONE, ONE),
    "week:week_undo": ("", ONE),
    "week:week_notes": ("", ONE),
    "week:put": ("", ONE),
    "week:release": ("", ONE),
    "week:why": (OMC, ""),
    "week:week_fit": (ONE, ""),
    "week:week_lighten": ("", ONE),
    "week:week_have_back": ("", ONE),
    "week:month": (OMC, ""),
    "week:month_notes": ("", ONE),
    "week:year": (OMC, ""),
    "week:ahead": (OMC, ""),
    # after the first run
    "start:members": (ONE, ONE),
    "start:areas": (ONE, ONE),
    "start:chores": (ONE, ONE),
}


@pytest.fixture(autouse=True)
def quiet() -> Iterator[None]:
    """Hundreds of refusals are not worth a line each."""
    logging.disable(logging.WARNING)
    yield
    logging.disable(logging.NOTSET)


@dataclass
class World:
    """One household in which everything exists that an address may name."""

    household: Household
    sessions: dict[str, str]
    helper: dict[str, str]  # the cookies of a browser that has opened a helper's link
    common: dict[str, Any]
    own: dict[str, dict[str, int]]  # role -> what is that role's own
    bodies: dict[str, dict[str, Any]]  # address -> what its POST has to name

    def address(self, name: str, role: str, names: list[str]) -> str:
        values = {**self.common, **self.own.get(role, self.own["o"]), **self.common.get(name, {})}
        return reverse(name, kwargs={each: values[each] for each in names})

    def browser(self, role: str) -> Client:
        """A fresh one each time, with the role's session as it was at first."""
        client = Client()
        if role in self.sessions:
            client.cookies[settings.SESSION_COOKIE_NAME] = self.sessions[role]
        if role == "h":
            for name, value in self.helper.items():
                client.cookies[name] = value
        return client


@pytest.fixture
def world(
    household: Household, organiser: Member, member: Member, child: Member, outsider: Member
) -> World:
    people = {"o": organiser, "m": member, "c": child, "x": outsider}
    area: Area = make_area(household, "Kitchen")
    chore = make_chore(household, "Sweep the floor", area=area)
    task = make_task(household, "Water the plants")
    absence = Absence.objects.create(member=member, starts=TODAY, ends=TODAY)
    code, secret = devices.make_code(household=household, by=organiser, now=NOW, member=child)
    calendar = Subscription.objects.create(household=household, label="School", created_at=NOW)
    taken_out = Subscription.objects.create(
        household=household, label="Bins", created_at=NOW, archived_at=NOW
    )
    asked = make_request(household, member)
    photo = make_photo(asked)
    outsider_here = make_outsider(household)
    estimate = Estimate.objects.create(household=household, request=asked, who="Imre", amount=65)
    swap = swapping.offer(
        offered=make_task(household, "Mow the lawn", member=organiser),
        wanted=make_task(household, "Clean the windows", member=member),
        by=organiser,
        now=NOW,
    )
    idea = make_idea(household, "A game of cards", company="all")
    occasion = make_occasion(household, child, own_jobs=True)
    put_away = make_occasion(household, child, "Long ago", archived_at=NOW)
    gift = make_gift(household, organiser, who="Greta")
    given_up = make_gift(household, organiser, "A kite", who="Greta", archived_at=NOW)
    _, token = _feed(organiser, "household")
    on_list = make_task(household, "Mop the floor")
    helper_list, link = make_list(organiser, [on_list])
    own = {role: _own(people[role]) for role in "omc"}
    sessions = {role: _session(person) for role, person in people.items()}
    sessions["s"] = screen_session(household, organiser)
    common = {
        "household_id": household.pk,
        "task_id": task.pk,
        "chore_id": chore.pk,
        "area_id": area.pk,
        "member_id": member.pk,
        "absence_id": absence.pk,
        "code_id": code.pk,
        "subscription_id": calendar.pk,
        "request_id": asked.pk,
        "photo_id": photo.pk,
        "outsider_id": outsider_here.pk,
        "estimate_id": estimate.pk,
        "swap_id": swap.pk,
        "breather_id": idea.pk,
        "offer_id": make_offer(idea).pk,
        "appliance_id": make_appliance(household).pk,
        "occasion_id": occasion.pk,
        "job_id": make_job(household, occasion=occasion).pk,
        "gift_id": gift.pk,
        "kind": "birthday",
        "link": secret.link,
        "token": token,
        "place": 0,
        "first": "2026-03-09",
        "year": 2026,
        "month": 3,
        "list_id": helper_list.pk,
        "note_id": make_note(household).pk,
        **{
            f"helper_door:{name}": {"token": link, "task_id": on_list.pk}
            for name in ("list", "tick", "undo", "say")
        },
        # some addresses bring back what was put away
        "feeds:take_back": {"subscription_id": taken_out.pk},
        "occasions:restore": {"occasion_id": put_away.pk},
        "occasions:gift_restore": {"gift_id": given_up.pk},
    }
    bodies: dict[str, dict[str, Any]] = {
        "web:swap_offer": {"offered": swap.offered_id, "wanted": swap.wanted_id},
        "web:hand_back": {"batch": signing.dumps([household.pk, []], salt=SALT)},
    }
    return World(household, sessions, _opened(f"/help/{link}/"), common, own, bodies)


def _opened(address: str) -> dict[str, str]:
    """The cookies of a browser that has looked at an address without being signed in."""
    client = Client()
    assert client.get(address).status_code == 200
    return {name: cookie.value for name, cookie in client.cookies.items()}


def _session(person: Member) -> str:
    client = Client()
    assert person.account is not None
    client.force_login(person.account)
    return client.cookies[settings.SESSION_COOKIE_NAME].value


def _feed(owner: Member, kind: str) -> tuple[int, str]:
    wanted = Wanted(kind=kind, label="Ours", member=owner)
    feed, token = make_feed(owner=owner, wanted=wanted, now=NOW, key=uuid4())
    return feed.pk, token


def _own(person: Member) -> dict[str, int]:
    device = Device.objects.create(
        household=person.household,
        member=person,
        kind=DeviceKind.PERSONAL,
        label="A phone",
        session_key=f"of-{person.pk}",
        created_at=NOW,
        seen_at=NOW,
    )
    notice = Notice.objects.create(household=person.household, to=person, device=device, at=NOW)
    feed, _ = _feed(person, "member")
    return {"device_id": device.pk, "notice_id": notice.pk, "feed_id": feed}


def addresses() -> dict[str, list[str]]:
    """The names of all addresses, each with the names of the values in it."""
    return dict(_walk(get_resolver().url_patterns, ()))


def _walk(
    patterns: list[URLPattern | URLResolver], above: tuple[tuple[str, list[str]], ...]
) -> Iterator[tuple[str, list[str]]]:
    for pattern in patterns:
        values = list(pattern.pattern.regex.groupindex)
        if isinstance(pattern, URLResolver):
            space = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from _walk(pattern.url_patterns, (*above, (space, values)))
        else:
            name = "".join(space for space, _ in above) + str(pattern.name)
            yield name, [value for _, before in above for value in before] + values


@pytest.mark.parametrize("ending", ["stopped", "over"])
def test_a_helpers_link_that_is_stopped_or_over_lets_nobody_in(ending: str, world: World) -> None:
    if ending == "stopped":
        HelperList.objects.update(stopped_at=NOW)
    else:
        HelperList.objects.update(starts="2026-03-01", ends="2026-03-11")
    for name in ("list", "tick", "undo", "say"):
        values = addresses()[f"helper_door:{name}"]
        for role in ROLES:
            address = world.address(f"helper_door:{name}", role, values)
            for method in METHODS:
                answer = world.browser(role).generic(method, address)
                assert answer.status_code == 404, f"{method} {name} as {role}"


def test_the_table_names_every_address_and_no_other() -> None:
    assert set(TABLE) == set(addresses())


@pytest.mark.parametrize("role", ROLES)
def test_only_whom_the_table_names_gets_in(role: str, world: World) -> None:
    wrong = []
    for name, values in addresses().items():
        address = world.address(name, role, values)
        for method in METHODS:
            told = _told(world.browser(role), method, address, world.bodies.get(name, {}))
            if told not in _right(name, role, method):
                wrong.append(f"{method} {name} as {role}: {told}")
    assert not wrong, "\n".join(wrong)


def _right(name: str, role: str, method: str) -> tuple[str, ...]:
    """What may happen: in, or nothing there; who is not signed in is asked to be, if anything."""
    looks, changes = TABLE[name]
    let_in = {"GET": looks, "POST": changes}.get(method, "")
    if role in let_in:
        return ("in",)
    return ("nothing", "sign in") if role in "hn" else ("nothing",)


def _told(client: Client, method: str, address: str, body: dict[str, Any]) -> str:
    """What the answer means; whatever it changed is taken back."""
    before = transaction.savepoint()
    try:
        answer = client.generic(
            method, address, urlencode(body), content_type="application/x-www-form-urlencoded"
        )
    finally:
        transaction.savepoint_rollback(before)
    if answer.status_code in (404, 405):
        return "nothing"
    to_sign_in = answer.status_code == 302 and answer["Location"].startswith("/sign-in/?next=")
    return "sign in" if to_sign_in else "in"

"""Guessing gets slower, by name and browser and by network, and never stops a home for good."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
import time_machine
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from household.devices.actions import make_code
from household.devices.models import Tries
from household.devices.throttle import FREE_CODES, FREE_NETWORK, LONGEST, network_of, wait_after
from household.people.models import Household, Member
from tests.factories import NOW, PASSWORD

pytestmark = pytest.mark.django_db
WRONG = "wrong-guess-26"


def try_in(client: Client, name: str = "dev", password: str = WRONG, at: str = "192.0.2.7") -> int:
    sent = {"username": name, "password": password}
    return client.post("/sign-in/", sent, REMOTE_ADDR=at).status_code


def test_after_three_wrong_passwords_one_waits_and_the_name_is_kept(member: Member) -> None:
    client = Client()
    assert [try_in(client) for _ in range(5)] == [422, 422, 422, 422, 429]
    answer = client.post(
        "/sign-in/", {"username": "dev", "password": PASSWORD}, REMOTE_ADDR="192.0.2.7"
    )
    page = answer.content.decode()
    assert answer.status_code == 429 and answer["Retry-After"] == "1"
    assert "Too many tries. Wait 1 second, then try again." in page
    assert 'value="dev"' in page


def test_the_wait_grows_and_the_right_password_ends_it(member: Member) -> None:
    client, at, waits = Client(), NOW, []
    for _ in range(16):
        with time_machine.travel(at, tick=False):
            try_in(client)
            answer = client.post(
                "/sign-in/", {"username": "dev", "password": WRONG}, REMOTE_ADDR="192.0.2.7"
            )
            wait = int(answer.get("Retry-After", "0"))
        waits.append(wait)
        at += timedelta(seconds=max(wait, 1))
    assert waits == sorted(waits) and waits[-1] == LONGEST.total_seconds()
    with time_machine.travel(at, tick=False):
        assert try_in(client, password=PASSWORD) == 302
        fresh = Client()
        assert [try_in(fresh) for _ in range(4)] == [422] * 4


def test_guessing_at_one_name_stops_no_other_in_the_same_home(
    member: Member, organiser: Member
) -> None:
    for _ in range(8):
        try_in(Client())
    assert try_in(Client(), "dev", PASSWORD) == 429
    assert try_in(Client(), "marit", PASSWORD) == 302


def test_strangers_elsewhere_do_not_make_the_owner_wait(member: Member) -> None:
    for _ in range(8):
        try_in(Client(), at="203.0.113.9")
    assert try_in(Client(), password=PASSWORD, at="192.0.2.7") == 302


def test_browser_known_for_a_name_does_not_wait_for_its_networks_guesses(member: Member) -> None:
    known = Client()
    assert try_in(known, password=PASSWORD) == 302
    known.post("/sign-out/")
    for _ in range(8):
        try_in(Client())
    assert try_in(Client(), password=PASSWORD) == 429
    assert try_in(known, password=PASSWORD) == 302


def test_being_known_for_one_name_spares_nothing_for_another(
    member: Member, organiser: Member
) -> None:
    known = Client()
    try_in(known, password=PASSWORD)
    known.post("/sign-out/")
    assert [try_in(known, "marit") for _ in range(5)][-1] == 429


def test_forged_cookie_is_worth_nothing(member: Member) -> None:
    for _ in range(8):
        try_in(Client())
    forger = Client()
    forger.cookies["evenhouse_device"] = "0" * 32 + ".abc:forged"
    assert try_in(forger, password=PASSWORD) == 429


def test_a_network_has_a_much_larger_allowance(member: Member, organiser: Member) -> None:
    for number in range(FREE_NETWORK + 1):
        assert try_in(Client(), f"nobody-{number}") == 422
    assert try_in(Client(), "marit", PASSWORD) == 429
    assert try_in(Client(), "marit", PASSWORD, at="198.51.100.4") == 302


def test_right_passwords_cost_a_network_nothing(member: Member) -> None:
    for _ in range(FREE_NETWORK + 5):
        assert try_in(Client(), password=PASSWORD) == 302


def test_all_is_forgotten_after_a_day(member: Member) -> None:
    for _ in range(8):
        try_in(Client())
    with time_machine.travel(NOW + timedelta(days=1, seconds=1), tick=False):
        assert try_in(Client()) == 422
        assert not Tries.objects.filter(last_at__lte=NOW).exists()


def test_typed_codes_are_slowed_down_and_the_picture_is_not(
    household: Household, organiser: Member, child: Member, now: datetime
) -> None:
    _, secret = make_code(household=household, by=organiser, now=now, member=child)
    for _ in range(FREE_CODES + 1):
        assert Client().post("/in/", {"code": "ABCDEFGH"}).status_code == 422
    answer = Client().post("/in/", {"code": secret.typed})
    assert answer.status_code == 429 and answer["Retry-After"] == "1"
    assert secret.typed in answer.content.decode()
    assert Client().get(f"/in/{secret.link}/").status_code == 200


def test_names_and_addresses_are_not_readable_in_the_table(member: Member) -> None:
    try_in(Client())
    for row in Tries.objects.all():
        assert "dev" not in row.target and "192.0.2" not in row.target


@given(st.integers(0, 10_000), st.integers(0, 100))
def test_no_wait_is_longer_than_a_quarter_of_an_hour(count: int, free: int) -> None:
    wait = wait_after(count, free)
    assert timedelta(0) <= wait <= LONGEST
    assert wait <= wait_after(count + 1, free)
    assert (wait == timedelta(0)) == (count <= free)


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("", ""),
        ("unix:", "unix:"),
    ],
)
def test_a_home_with_ipv6_is_one_network(address: str, network: str) -> None:
    assert network_of(address) == network

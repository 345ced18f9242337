"""What every test with a database starts from: one home, its people, and somebody else.

The clock stands still at `now`, a Thursday morning, for whoever uses a household.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.cache import caches
from django.test import Client

from household.calc.sharing import worker
from household.people.models import Household, Member, Role
from tests.factories import NOW, make_household, make_member


@pytest.fixture(autouse=True)
def data_folder(settings: Any, tmp_path: Path) -> None:
    """Each test has a data folder of its own, and nothing kept from the one before."""
    settings.DATA_DIR = tmp_path
    for cache in caches.all(initialized_only=True):
        cache.clear()


@pytest.fixture(autouse=True)
def no_search_left() -> Iterator[None]:
    """A share-out that a test started ends with it, and its process is waited for."""
    yield
    worker.stop_all()


@pytest.fixture
def now() -> Iterator[datetime]:
    with time_machine.travel(NOW, tick=False):
        yield NOW


@pytest.fixture
def household(db: None, now: datetime) -> Household:
    return make_household()


@pytest.fixture
def organiser(household: Household) -> Member:
    return make_member(household, "Marit", role=Role.ORGANISER)


@pytest.fixture
def member(household: Household) -> Member:
    return make_member(household, "Dev")


@pytest.fixture
def child(household: Household) -> Member:
    return make_member(household, "Oona", role=Role.CHILD, age_band="8_11")


@pytest.fixture
def outsider(db: None, now: datetime) -> Member:
    """The organiser of another household."""
    return make_member(make_household(name="Quay House"), "Sten", role=Role.ORGANISER)


@pytest.fixture
def client_for() -> Callable[[Member], Client]:
    """A browser in which this member is signed in."""

    def signed_in(member: Member) -> Client:
        client = Client()
        assert member.account is not None
        client.force_login(member.account)
        return client

    return signed_in

"""Rows for tests: small functions with sensible defaults, everything else by keyword."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import count
from typing import Any

from django.contrib.sessions.backends.db import SessionStore

from household.areas.models import Area
from household.chores.actions import create_chore
from household.chores.horizon import horizon_of
from household.chores.models import Chore, Task
from household.devices import actions as devices
from household.devices.sessions import SCREEN
from household.people import marks
from household.people.models import Account, Household, Member

NOW = datetime(2026, 3, 12, 9, 0, tzinfo=UTC)  # a Thursday
TODAY = date(2026, 3, 12)
PASSWORD = "larch-and-rowan-26"

_numbers = count(1)


def make_household(*, name: str = "Larch Cottage", **fields: Any) -> Household:
    """A home in Ireland, whose week begins on Monday."""
    usual = {"country": "IE", "time_zone": "Europe/Dublin"}
    return Household.objects.create(name=name, **{**usual, **fields})


def make_account(username: str = "", password: str = PASSWORD) -> Account:
    return Account.objects.create_user(username or f"somebody-{next(_numbers)}", password)


def make_member(
    household: Household,
    name: str = "",
    *,
    signs_in: bool = True,
    account: Account | None = None,
    **fields: Any,
) -> Member:
    """Somebody with a mark of their own, who signs in by their name in lower case."""
    name = name or f"Member {next(_numbers)}"
    if signs_in and account is None:
        taken = Account.objects.filter(username__iexact=name).exists()
        account = make_account(f"{name.lower()}-{next(_numbers)}" if taken else name.lower())
    if "shape" not in fields:
        mark = marks.free(marks.taken(household))[0]
        fields |= {"shape": mark.shape, "hue": mark.hue}
    return Member.objects.create(household=household, name=name, account=account, **fields)


def make_area(household: Household, name: str = "", **fields: Any) -> Area:
    """An area at the end of the list."""
    place = Area.objects.filter(household=household).count()
    return Area.objects.create(
        household=household,
        name=name or f"Area {next(_numbers)}",
        **{"position": place, **fields},
    )


def make_chore(
    household: Household,
    name: str = "",
    *,
    area: Area | None = None,
    now: datetime = NOW,
    actor: Member | None = None,
    **fields: Any,
) -> Chore:
    """A weekly chore of ten minutes that began today, with its tasks up to the horizon."""
    today = household.today(now)
    usual: dict[str, Any] = {"minutes": 10, "rule": "FREQ=WEEKLY", "starts": today}
    return create_chore(
        household=household,
        actor=actor,
        now=now,
        horizon=horizon_of(today),
        name=name or f"Chore {next(_numbers)}",
        area=area or make_area(household),
        **{**usual, **fields},
    )


def make_task(household: Household, name: str = "", **fields: Any) -> Task:
    """A one-off of ten minutes for today."""
    day = fields.get("day", household.today(NOW))
    usual: dict[str, Any] = {"minutes": 10, "opens": day, "closes": day, "day": day}
    return Task.objects.create(
        household=household, name=name or f"Task {next(_numbers)}", **{**usual, **fields}
    )


def screen_session(household: Household, by: Member, now: datetime = NOW) -> str:
    """The key of a session that is the household's shared screen in the kitchen."""
    session = SessionStore()
    session.create()
    key = str(session.session_key)
    device = devices.let_screen_in(
        household=household, label="Kitchen screen", session_key=key, now=now, by=by
    )
    session[SCREEN] = device.pk
    session.save()
    return key

"""Requests for tests, by the room's own actions."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from household.people.models import Household, Member
from household.requests import actions, asking, photos
from household.requests.models import Photo, Request
from household.requests.outside_models import Appliance, Outsider
from tests.factories import NOW, TODAY
from tests.requests.pictures import jpeg, upload


def make_request(
    household: Household,
    asker: Member,
    what: str = "The tap drips",
    *,
    now: datetime = NOW,
    **said: Any,
) -> Request:
    return asking.ask(
        household=household, asker=asker, call=asking.Call(what=what, **said), now=now
    )


def taken_by(
    member: Member, asked: Request, *, by: date = TODAY, now: datetime = NOW, **more: Any
) -> Request:
    return actions.take(asked=asked, member=member, now=now, minutes=20, by=by, **more)


def make_outsider(household: Household, name: str = "Imre Volk", **fields: Any) -> Outsider:
    return Outsider.objects.create(household=household, name=name, **fields)


def make_appliance(household: Household, name: str = "Dryer", **fields: Any) -> Appliance:
    return Appliance.objects.create(household=household, name=name, **fields)


def make_photo(asked: Request) -> Photo:
    """A picture of this request that lies on the disk."""
    [kept] = photos.keep([upload(jpeg(400, 300))])
    return Photo.objects.create(
        household=asked.household,
        request=asked,
        name=kept.name,
        width=kept.width,
        height=kept.height,
    )

"""Asking for help, and asking again. Whoever is asked is told, and no more often than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from household.areas.models import Area
from household.calc import dangers
from household.devices.actions import tell
from household.devices.models import Device
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household, Member
from household.requests import queries
from household.requests.changing import change, must_be_askers, must_be_open, note, path_to
from household.requests.models import Happened, HelpKind, Photo, Request, Standing, Urgency
from household.requests.outside_models import Appliance
from household.requests.photos import Kept
from household.requests.standing import stands


@dataclass(frozen=True, slots=True)
class Call:
    """What an asker says. `dangers` are those chosen; more are read from the words."""

    what: str
    details: str = ""
    kind: str = HelpKind.OTHER
    area: Area | None = None
    appliance: Appliance | None = None
    urgency: str = Urgency.SOON
    by: date | None = None
    to: Member | None = None
    dangers: Sequence[str] = ()

    @property
    def text(self) -> str:
        return f"{self.what}\n{self.details}"

    @property
    def all_dangers(self) -> list[str]:
        read = dangers.recognised(self.text, repair=self.kind == HelpKind.REPAIR)
        return [each.value for each in dangers.in_order([*self.dangers, *read])]


@writes
def ask(
    *,
    household: Household,
    asker: Member,
    call: Call,
    now: datetime,
    photos: Sequence[Kept] = (),
    key: UUID | None = None,
    device: Device | None = None,
) -> Request:
    """Post a call for help and tell those who are asked. Sent twice by one key, it is asked once.

    A child's request with a danger goes to adults only. The caller forgets photos that this
    request did not take (see `took`).
    """
    before = Request.objects.filter(household=household, key=key).first() if key else None
    if before is not None:
        return before
    found = call.all_dangers
    for_adults = bool(found) and not queries.is_adult(asker)
    if for_adults and call.to is not None and not queries.is_adult(call.to):
        raise Refused(
            f"This may be dangerous, so it goes to grown-ups, not to {call.to.name}.", field="to"
        )
    asked = Request.objects.create(
        household=household,
        asker=asker,
        device=device,
        what=call.what,
        details=call.details,
        kind=call.kind,
        area=call.area or (call.appliance.area if call.appliance else None),
        appliance=call.appliance,
        urgency=call.urgency,
        by=call.by,
        to=call.to,
        dangers=found,
        emergencies=[each.value for each in dangers.emergency_in(call.text)],
        for_adults=for_adults,
        created_at=now,
        changed_at=now,
        key=key,
    )
    Photo.objects.bulk_create(
        Photo(
            household=household, request=asked, name=each.name, width=each.width, height=each.height
        )
        for each in photos
    )
    note(asked, asker, Happened.ASKED, now, device=device)
    _tell_asked(asked, now)
    return asked


def took(asked: Request, photos: Sequence[Kept]) -> bool:
    """Whether these pictures are this request's: of a second send they are not."""
    return not photos or asked.photos.filter(name=photos[0].name).exists()


def _tell_asked(asked: Request, now: datetime) -> None:
    """Who is asked by name is told; anybody only of what cannot wait until it suits."""
    if asked.to is not None:
        people = [asked.to]
    elif asked.urgency == Urgency.WHENEVER and not asked.emergencies:
        people = []
    else:
        people = queries.helpers(asked.household, asked.asker, adults_only=asked.for_adults)
    who = asked.asker.name if asked.asker else "Somebody"
    hurry = " now" if asked.urgency == Urgency.NOW else ""
    for member in people:
        tell(
            to=member,
            words=f"{who} asks for help{hurry}: {asked.what}",
            path=path_to(asked),
            now=now,
        )


@writes
def ask_again(*, asked: Request, actor: Member, to: Member | None, now: datetime) -> Request:
    """Ask somebody else, or anybody."""
    must_be_askers(asked, actor)
    standing = stands(asked)
    must_be_open(asked, standing)
    if standing == Standing.TAKEN:
        raise Refused(f"{asked.taken_by} has taken it on already.")
    if to is not None and asked.for_adults and not queries.is_adult(to):
        raise Refused(f"This is for grown-ups, not for {to.name}.", field="to")
    again: dict[str, object] = {
        "standing": Standing.ASKED,
        "to": to,
        "declined": [],
        "outsider": None,
    }
    change(asked, now, **again, taken_by=None, task=None)
    note(asked, actor, Happened.ASKED_AGAIN, now, words=to.name if to else "anybody")
    _tell_asked(asked, now)
    return asked

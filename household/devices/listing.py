"""Devices as their page shows them: under the people whose they are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.urls import reverse

from household.devices.models import Device, Notice
from household.kit.dates import DateWords
from household.people.models import Household, Member
from household.people.queries import members


@dataclass(frozen=True, slots=True)
class DeviceRow:
    label: str
    seen_words: str
    since_words: str
    here: bool
    rename_url: str
    off_url: str


@dataclass(slots=True)
class Group:
    """A member's devices, or the shared screens (name "Shared screens", no mark)."""

    name: str
    shape: str
    hue: str
    code_url: str
    rows: list[DeviceRow] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class NoticeLine:
    """`more_url` leads to what the sentence is about, in `more_words`."""

    sentence: str
    seen_url: str
    more_url: str
    more_words: str


def groups(
    household: Household, viewer: Member, devices: Iterable[Device], here: str, now: datetime
) -> list[Group]:
    """Every member for an organiser, who may let devices in; else the viewer alone."""
    words = DateWords(household.date_order)
    people = members(household) if viewer.organises else [viewer]
    found = {person.pk: _group(person, viewer) for person in people}
    screens = Group("Shared screens", "", "", "")
    for device in devices:
        group = found.get(device.member_id or 0, screens if device.is_shared else None)
        if group is not None:
            group.rows.append(_row(device, household, words, here, now))
    if screens.rows:
        return [*found.values(), screens]
    return list(found.values())


def _group(person: Member, viewer: Member) -> Group:
    code_url = reverse("devices:member_code", args=[person.household_id, person.pk])
    return Group(person.name, person.shape, person.hue, code_url if viewer.organises else "")


def _row(
    device: Device, household: Household, words: DateWords, here: str, now: datetime
) -> DeviceRow:
    zone, today = household.zone, household.today(now)
    args = [device.household_id, device.pk]
    since = words.near(device.created_at.astimezone(zone).date(), today)
    by = device.created_by
    return DeviceRow(
        label=device.label,
        seen_words=words.near(device.seen_at.astimezone(zone).date(), today),
        since_words=f"{since} by {by.name}" if by and by.pk != device.member_id else since,
        here=bool(device.session_key) and device.session_key == here,
        rename_url=reverse("devices:rename", args=args),
        off_url=reverse("devices:switch_off", args=args),
    )


def notice_lines(
    notices: Iterable[Notice], household: Household, now: datetime
) -> list[NoticeLine]:
    """ "A new device of Oona’s since 16:20: Android phone, Chrome." """
    words, today = DateWords(household.date_order), household.today(now)
    return [
        NoticeLine(
            sentence=_sentence(notice, words.moment(notice.at, household.zone, today)),
            seen_url=reverse("devices:see_notice", args=[household.pk, notice.pk]),
            more_url=_more(notice, household),
            more_words="See devices" if notice.device else "Look",
        )
        for notice in notices
    ]


def _more(notice: Notice, household: Household) -> str:
    if notice.device:
        return reverse("devices:list", args=[household.pk])
    today = reverse("web:today", args=[household.pk])
    return today.removesuffix("today/") + notice.path


def _sentence(notice: Notice, when: str) -> str:
    device = notice.device
    if device is None:
        return notice.words
    by = device.created_by
    let_in = f" {by.name} made the code." if by and by.pk != device.member_id else ""
    if device.member is None:
        return f"A new screen for everybody since {when}: {device.label}.{let_in}"
    return f"A new device of {device.member.name}’s since {when}: {device.label}.{let_in}"

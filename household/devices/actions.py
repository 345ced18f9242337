"""Letting devices in and out. A session ends when its row is gone, whatever the phone sends."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from django.contrib.sessions.models import Session
from django.db.models import QuerySet

from household.devices.codes import Secret, hash_link, hash_typed, new_secret
from household.devices.models import Code, Device, DeviceKind, Notice
from household.kit.errors import NotAllowed, Refused
from household.kit.writing import writes
from household.people.actions import touch_household
from household.people.models import Account, Household, Member, Role

CODE_LIVES: Final = timedelta(minutes=10)
USED_UP: Final = (
    "This code does not open anything any more. A code works once, for ten minutes: "
    "ask for a new one."
)


@writes
def make_code(
    *, household: Household, by: Member, now: datetime, member: Member | None, label: str = ""
) -> tuple[Code, Secret]:
    """A code for one device of `member`, or for a shared screen called `label`.

    The secret is told here once. A code still open for the same member or screen is stopped.
    """
    stop_codes(codes=Code.objects.filter(household=household, member=member), now=now)
    Code.objects.filter(household=household, expires_at__lt=now - CODE_LIVES).delete()
    secret = new_secret()
    code = Code.objects.create(
        household=household,
        member=member,
        label="" if member else label.strip()[:60],
        link_hash=hash_link(secret.link),
        typed_hash=hash_typed(secret.typed),
        created_by=by,
        created_at=now,
        expires_at=now + CODE_LIVES,
    )
    return code, secret


@writes
def stop_codes(*, codes: QuerySet[Code], now: datetime) -> int:
    """End codes that are still open; returns how many."""
    return codes.filter(used_at=None, expires_at__gt=now).update(expires_at=now)


@writes
def use_up(*, code: Code, now: datetime) -> None:
    """Take a code for good. Of two devices at once, one gets it."""
    taken = Code.objects.filter(pk=code.pk, used_at=None, expires_at__gt=now).update(used_at=now)
    if not taken:
        raise Refused(USED_UP)


@writes
def account_for(*, member: Member) -> Account:
    """The account of a member; one without a password if there was none."""
    account = member.account
    if account is None:
        account = Account.objects.create_user(_free_name(member))
        member.account = account
        member.save(update_fields=["account"])
    elif not account.is_active:
        account.is_active = True
        account.save(update_fields=["is_active"])
    return account


def _free_name(member: Member) -> str:
    """A name nobody signs in with; an organiser may give another one with a password."""
    name = f"{member.name} {member.household_id}-{member.pk}"
    return name if not Account.objects.filter(username__iexact=name).exists() else f"{name}b"


@writes
def let_in(
    *,
    members: Iterable[Member],
    session_key: str,
    label: str,
    now: datetime,
    key: UUID,
    by: Member | None = None,
) -> list[Device]:
    """A browser is signed in as these members (one person in one or more households).

    Organisers are told where it was not known before or had been switched off.
    """
    _leave(session_key)
    return [_let_in(member, session_key, label, now, key, by) for member in members]


def _let_in(
    member: Member, session_key: str, label: str, now: datetime, key: UUID, by: Member | None
) -> Device:
    device = Device.objects.filter(household=member.household, member=member, key=key).first()
    if device is None:
        device = Device(
            household=member.household, member=member, key=key, label=label, created_at=now
        )
    elif device.session_key and device.session_key != session_key:
        _end_sessions([device.session_key])
    is_new = device.pk is None or device.ended_at is not None
    device.session_key, device.seen_at, device.ended_at = session_key, now, None
    device.created_by = by or (member if device.pk is None else device.created_by)
    device.save()
    if is_new:
        tell_organisers(device=device, now=now)
    return device


@writes
def let_screen_in(
    *, household: Household, label: str, session_key: str, now: datetime, by: Member
) -> Device:
    """A browser is a household's shared screen from now on."""
    _leave(session_key)
    device = Device.objects.create(
        household=household,
        kind=DeviceKind.SHARED,
        label=label,
        session_key=session_key,
        created_by=by,
        created_at=now,
        seen_at=now,
    )
    tell_organisers(device=device, now=now)
    return device


def tell_organisers(*, device: Device, now: datetime) -> None:
    organisers = list(
        Member.objects.filter(household=device.household, role=Role.ORGANISER, archived_at=None)
    )
    Notice.objects.bulk_create(
        Notice(household=device.household, to=each, device=device, at=now) for each in organisers
    )
    _count_unseen(each.pk for each in organisers)
    touch_household(device.household_id)


@writes
def tell(*, to: Member, words: str, path: str, now: datetime) -> Notice:
    """Leave a member a sentence on their Today, with where it leads."""
    notice = Notice.objects.create(
        household_id=to.household_id, to=to, words=words[:200], path=path, at=now
    )
    _count_unseen([to.pk])
    touch_household(to.household_id)
    return notice


@writes
def see_notice(*, notice: Notice, now: datetime) -> None:
    Notice.objects.filter(pk=notice.pk, seen_at=None).update(seen_at=now)
    _count_unseen([notice.to_id])
    touch_household(notice.household_id)


@writes
def rename(*, device: Device, label: str, by: Member) -> None:
    _must_be_own(device, by)
    device.label = label
    device.save(update_fields=["label"])


@writes
def switch_off(*, device: Device, by: Member, now: datetime) -> None:
    """End a device's session at once, in every household that it opens."""
    _must_be_own(device, by)
    if device.ended_at is None:
        Device.objects.filter(pk=device.pk).update(ended_at=now)
        _see_all(Notice.objects.filter(device=device), now)
    _end_sessions([device.session_key])


@writes
def member_left(*, member: Member, now: datetime) -> None:
    """A member lives here no more: their devices are switched off and their codes stopped."""
    stop_codes(codes=Code.objects.filter(member=member), now=now)
    stop_codes(codes=Code.objects.filter(created_by=member), now=now)
    theirs = Device.objects.filter(member=member, ended_at=None)
    keys = list(theirs.values_list("session_key", flat=True))
    _see_all(Notice.objects.filter(device__in=theirs), now)
    theirs.update(ended_at=now)
    _end_sessions(keys)


@writes
def signed_out(*, session_key: str) -> None:
    """Somebody signed out by themselves: the device stays known, and is nowhere listed."""
    _leave(session_key)


@writes
def seen(*, session_key: str, now: datetime) -> None:
    Device.objects.filter(session_key=session_key).update(seen_at=now)


@writes
def follow_session(*, old: str, new: str) -> None:
    """A session went on under another key, as it does when its password is changed."""
    Device.objects.filter(session_key=old).update(session_key=new)


def _see_all(notices: QuerySet[Notice], now: datetime) -> None:
    """What is over needs no telling any more."""
    told = set(notices.filter(seen_at=None).values_list("to_id", flat=True))
    notices.filter(seen_at=None).update(seen_at=now)
    _count_unseen(told)


def _count_unseen(member_ids: Iterable[int]) -> None:
    for member_id in member_ids:
        count = Notice.objects.filter(to=member_id, seen_at=None).count()
        Member.objects.filter(pk=member_id).update(unseen=count)


def _must_be_own(device: Device, by: Member) -> None:
    if not by.organises and device.member_id != by.pk:
        raise NotAllowed("Ask an organiser to change that device.")


def _leave(session_key: str) -> None:
    if session_key:
        Device.objects.filter(session_key=session_key).update(session_key="")


def _end_sessions(keys: Iterable[str]) -> None:
    keys = [key for key in keys if key]
    Session.objects.filter(session_key__in=keys).delete()
    Device.objects.filter(session_key__in=keys).update(session_key="")

"""Reading devices, codes and notices."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import QuerySet

from household.devices.codes import hash_link, hash_typed
from household.devices.models import Code, Device, DeviceKind, Notice
from household.people.models import Household, Member


def devices(household: Household, viewer: Member, now: datetime) -> QuerySet[Device]:
    """Where somebody is signed in: an organiser sees all of them, others their own."""
    found = signed_in(now).filter(household=household).select_related("member", "created_by")
    if not viewer.organises:
        found = found.filter(member=viewer)
    return found.order_by("member_id", "-seen_at", "-id")


def signed_in(now: datetime) -> QuerySet[Device]:
    """Devices whose session can still be alive."""
    oldest = now - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    return Device.objects.filter(ended_at=None, seen_at__gt=oldest).exclude(session_key="")


def screen_of(device_id: int, session_key: str) -> Device | None:
    """The shared screen of a session, unless it has been switched off."""
    return (
        Device.objects.select_related("household")
        .filter(pk=device_id, kind=DeviceKind.SHARED, session_key=session_key, ended_at=None)
        .first()
    )


def open_code(now: datetime, *, link: str = "", typed: str = "") -> Code | None:
    """The code that a link or a typed text opens; none if used, too old or unknown."""
    by = {"link_hash": hash_link(link)} if link else {"typed_hash": hash_typed(typed)}
    return (
        Code.objects.select_related("household", "member", "created_by")
        .filter(used_at=None, expires_at__gt=now, **by)
        .exclude(member__archived_at__isnull=False)
        .exclude(created_by__archived_at__isnull=False)
        .first()
    )


MOST_TOLD = 2  # at a time: the list of today stays in view


def notices_for(member: Member, *, session_key: str = "") -> list[Notice]:
    """What a member has not been shown yet; never of the device that they look from."""
    if not member.unseen:
        return []
    return list(
        Notice.objects.filter(to=member, seen_at=None)
        .exclude(device__isnull=False, device__session_key=session_key)
        .select_related("device", "device__member", "device__created_by")[:MOST_TOLD]
    )

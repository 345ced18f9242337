"""Guessing is slowed down, and nobody is ever locked out for good.

A home shares one address, and a proxy may hide all of them, so an address alone decides
little. Tries are counted for a name together with the browser that vouches for it (or, for an
unknown browser, with its network), and, with a much larger allowance, for the network as a
whole. A browser that has signed in under that name before is not counted with its network:
strangers cannot make it wait. A link in a picture is 32 random bytes and is not counted.
"""

from __future__ import annotations

import ipaddress
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.http import HttpRequest

from household.devices.codes import keyed_hash
from household.devices.cookie import name_hash, vouched_key
from household.devices.models import Tries, TryKind
from household.kit.errors import HouseholdError
from household.kit.writing import writes

FREE: Final = 3  # tries that ask for no wait: two at once are a double tap
FREE_NETWORK: Final = 60
FREE_CODES: Final = 20
LONGEST: Final = timedelta(minutes=15)
FORGOTTEN_AFTER: Final = timedelta(days=1)


class TooSoon(HouseholdError):
    """Too many tries; `seconds` are to wait."""

    status = 429

    def __init__(self, seconds: int) -> None:
        super().__init__(f"Too many tries. Wait {_spoken(seconds)}, then try again.")
        self.seconds = seconds


@dataclass(frozen=True, slots=True)
class Target:
    """What tries are counted for, and how many of them ask for no wait."""

    name: str
    free: int

    @property
    def hash(self) -> str:
        return keyed_hash("tries", self.name)


@writes
def check(kind: TryKind, who: str, request: HttpRequest, *, now: datetime) -> None:
    """Count one try for `who` (a name, or "" for a code), or raise TooSoon.

    A try is counted before it is judged, so that many at once do not slip by; `passed` takes
    it back. Tries during a wait are refused and lengthen nothing.
    """
    _count_or_refuse(kind, _targets(kind, who, request), now)


@writes
def check_targets(kind: TryKind, targets: Sequence[Target], *, now: datetime) -> None:
    """The same for whatever else is to be counted."""
    _count_or_refuse(kind, targets, now)


def _count_or_refuse(kind: TryKind, targets: Sequence[Target], now: datetime) -> None:
    rows = {
        row.target: row
        for row in Tries.objects.filter(
            kind=kind,
            target__in=[each.hash for each in targets],
            last_at__gt=now - FORGOTTEN_AFTER,
        )
    }
    until = max((row.wait_until for row in rows.values()), default=now)
    if until > now:
        raise TooSoon(math.ceil((until - now).total_seconds()))
    for target in targets:
        row = rows.get(target.hash)
        _count(kind, target, (row.count if row else 0) + 1, now)
    Tries.objects.filter(last_at__lte=now - FORGOTTEN_AFTER).delete()


@writes
def passed(kind: TryKind, who: str, request: HttpRequest) -> None:
    """The try succeeded: its name starts afresh, and its network is not charged for it."""
    own, *network = [each.hash for each in _targets(kind, who, request)]
    if who:
        Tries.objects.filter(kind=kind, target=own).delete()
    else:
        network = [own]
    for row in Tries.objects.filter(kind=kind, target__in=network, count__gt=0):
        row.count -= 1
        row.wait_until = row.last_at
        row.save(update_fields=["count", "wait_until"])


def wait_after(count: int, free: int) -> timedelta:
    """None for the first `free` tries, then 1, 2, 4 ... seconds, 15 minutes at most."""
    if count <= free:
        return timedelta(0)
    return min(timedelta(seconds=2 ** min(count - free - 1, 10)), LONGEST)


def _count(kind: TryKind, target: Target, count: int, now: datetime) -> None:
    Tries.objects.update_or_create(
        kind=kind,
        target=target.hash,
        defaults={
            "count": count,
            "last_at": now,
            "wait_until": now + wait_after(count, target.free),
        },
    )


def _targets(kind: TryKind, who: str, request: HttpRequest) -> list[Target]:
    network = network_of(request.META.get("REMOTE_ADDR", ""))
    if not who:
        return [Target(f"network {network}", FREE_CODES)]
    key = vouched_key(request, who)
    if key:
        return [Target(f"{name_hash(who)} browser {key}", FREE)]
    return [
        Target(f"{name_hash(who)} network {network}", FREE),
        Target(f"network {network}", FREE_NETWORK),
    ]


def network_of(address: str) -> str:
    """The address, or for IPv6 the /64 that one home is given as a rule."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if parsed.version == 4:
        return str(parsed)
    return str(ipaddress.ip_network((parsed, 64), strict=False))


def _spoken(seconds: int) -> str:
    if seconds < 60:
        return "1 second" if seconds == 1 else f"{seconds} seconds"
    minutes = math.ceil(seconds / 60)
    return "1 minute" if minutes == 1 else f"{minutes} minutes"

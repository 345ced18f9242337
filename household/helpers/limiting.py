"""How much may come by a helper's address: enough for any list, and never a home shut out.

Looking is counted in memory, by list and by whoever looks. What is sent is counted with growing
waits, first for the device and then for the list as a whole, so that one device that floods does
not make another wait. An address that opens nothing costs its network growing waits, and only
there: an address that answers is never asked about them.
"""

from __future__ import annotations

import hashlib
import math
import time
from datetime import date, datetime
from typing import Final

from django.core.cache import cache
from django.http import HttpRequest

from household.devices.models import TryKind
from household.devices.throttle import Target, TooSoon, check_targets, network_of
from household.helpers.models import HelperList

LOOKS: Final = 60  # a minute
FREE_DEVICE: Final = 150  # changes a day
FREE_LIST: Final = 600
FREE_WRONG: Final = 20
MINUTE: Final = 60


def may_look(helper_list: HelperList, request: HttpRequest) -> None:
    """TooSoon where one device looks at a list more often than anybody reads."""
    minute = int(time.time() // MINUTE)
    key = f"helper-looks-{helper_list.pk}-{_device(request)}-{minute}"
    cache.add(key, 0, 2 * MINUTE)
    if cache.incr(key) > LOOKS:
        raise TooSoon(math.ceil((minute + 1) * MINUTE - time.time()) or 1)


def may_send(helper_list: HelperList, request: HttpRequest, today: date, now: datetime) -> None:
    """Count one change, or raise TooSoon. Each day begins afresh."""
    list_today = f"list {helper_list.pk} {today}"
    targets = [
        Target(f"{list_today} device {_device(request)}", FREE_DEVICE),
        Target(list_today, FREE_LIST),
    ]
    check_targets(TryKind.HELPER, targets, now=now)


def wrong_address(request: HttpRequest, now: datetime) -> None:
    """Count an address that never was, or raise TooSoon."""
    network = network_of(request.META.get("REMOTE_ADDR", ""))
    check_targets(TryKind.ADDRESS, [Target(f"network {network}", FREE_WRONG)], now=now)


def _device(request: HttpRequest) -> str:
    """Without a cookie: the network and what the browser calls itself, shortened to a hash."""
    named = f"{network_of(request.META.get('REMOTE_ADDR', ''))} {request.headers.get('User-Agent')}"
    return hashlib.sha256(named.encode()).hexdigest()[:32]

"""A feed's addresses for people and programs, and as a picture for a phone's camera."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from django.urls import reverse
from django.utils.safestring import SafeString

from household.kit.secret_address import qr_of


@dataclass(frozen=True, slots=True)
class Addresses:
    """`webcal` is taken by calendar programs, `plain` is for typing and copying.

    `tasks` is empty for a calendar in which nothing is to be done.
    """

    plain: str
    webcal: str
    tasks: str
    local: bool

    @property
    def qr(self) -> SafeString:
        return qr_of(self.webcal)


def addresses(token: str, base: str, *, todos: bool = True) -> Addresses:
    """`base` is the hub's own address. `local`: services outside the home cannot reach it."""
    plain = base + reverse("feed_door:events", args=[token])
    parts = urlsplit(base)
    return Addresses(
        plain=plain,
        webcal=f"webcal://{plain.partition('://')[2]}",
        tasks=base + reverse("feed_door:todos", args=[token]) if todos else "",
        local=parts.scheme != "https",
    )

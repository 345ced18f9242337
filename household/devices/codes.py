"""The secrets that let a device in: made here, kept as keyed hashes only."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Final

from django.utils.crypto import salted_hmac

# Thirty-two signs that are hard to mix up: no I, O, 0 or 1. Eight of them are 40 bits.
ALPHABET: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
LENGTH: Final = 8
LINK_BYTES: Final = 32


@dataclass(frozen=True, slots=True)
class Secret:
    """`link` goes into the picture, `typed` is read off the screen: "K7QM-2XPA"."""

    link: str
    typed: str


def new_secret() -> Secret:
    signs = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    return Secret(secrets.token_urlsafe(LINK_BYTES), f"{signs[:4]}-{signs[4:]}")


def tidy(typed: str) -> str:
    """A typed code as it was made, however it was spaced and cased."""
    return "".join(sign for sign in typed.upper() if sign.isalnum())


def hash_link(link: str) -> str:
    return keyed_hash("link", link)


def hash_typed(typed: str) -> str:
    return keyed_hash("typed", tidy(typed))


def keyed_hash(purpose: str, text: str) -> str:
    """HMAC-SHA-256 under the hub's own key, in hex: 40 bits alone could be tried out at home."""
    salt = f"household.devices.{purpose}"
    return salted_hmac(salt, text, algorithm="sha256").hexdigest()

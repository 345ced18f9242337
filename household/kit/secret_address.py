"""Addresses that are keys: whoever has one gets in, and of the key only a hash is kept."""

from __future__ import annotations

import hashlib
import secrets
from typing import Final

import segno
from django.utils.safestring import SafeString, mark_safe

TOKEN_BYTES: Final = 32
QUIET: Final = 4  # modules of white around a QR code (ISO/IEC 18004)


class Token:
    """A path converter: 32 random bytes in the alphabet of addresses (RFC 4648, 5)."""

    regex = "[A-Za-z0-9_-]{43}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


def new_token() -> str:
    return secrets.token_urlsafe(TOKEN_BYTES)


def hash_of(token: str) -> str:
    """SHA-256 in hex: at 256 bits of chance a slow hash would gain nothing (ASVS 6.5.2)."""
    return hashlib.sha256(token.encode()).hexdigest()


def qr_of(text: str) -> SafeString:
    """Inline SVG without style attributes, dark on light in either theme."""
    code = segno.make(text, error="m", micro=False)
    drawing: str = code.svg_inline(
        border=QUIET, dark="#000", light="#fff", omitsize=True, svgclass="qr-code", lineclass=None
    )
    # Made by segno from a token and an address: no text of a person's is in it.
    return mark_safe(drawing)

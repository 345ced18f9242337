"""The one-time code that guards the first run: printed by the server, kept only as a hash.

Whoever reads the server's own output sets the hub up, and nobody else on the network.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password

FILE = "setup_code"
ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"  # nothing that looks like something else
LENGTH = 8


def is_kept() -> bool:
    """Whether a code was printed that nobody has used yet."""
    return _path().exists()


def new_code() -> str:
    """Make a code, such as K7QM-4T2X; the one before stops working."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    fresh = _path().with_suffix(".new")
    fresh.unlink(missing_ok=True)
    descriptor = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(make_password(letters))
    fresh.replace(_path())
    return f"{letters[:4]}-{letters[4:]}"


def fits(typed: str) -> bool:
    """Whether this is the code, however it was typed: small letters, spaces, no hyphen."""
    letters = "".join(each for each in typed.upper() if each.isalnum())
    try:
        kept = _path().read_text(encoding="ascii")
    except FileNotFoundError:
        return False
    return check_password(letters, kept)


def use_up() -> None:
    _path().unlink(missing_ok=True)


def _path() -> Path:
    return Path(settings.DATA_DIR) / FILE

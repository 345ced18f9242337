"""Keeps secret addresses out of the log."""

from __future__ import annotations

import logging
import re
from typing import Final

# A part of an address as long as a secret of 32 bytes; no name of ours is that long.
_SECRET: Final = re.compile(r"(?<=/)[A-Za-z0-9_-]{40,}")


def masked(text: str) -> str:
    """ "/f/Zk3….ics" -> "/f/….ics"."""
    return _SECRET.sub("…", text)


class MaskSecrets(logging.Filter):
    """To be put on every handler: whoever logs an address, its secret part does not appear."""

    def filter(self, record: logging.LogRecord) -> bool:
        message = record.getMessage()
        if _SECRET.search(message):
            record.msg, record.args = masked(message), ()
        return True

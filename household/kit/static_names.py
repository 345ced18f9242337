"""Static files under names that change with what is in them."""

from __future__ import annotations

from typing import Any

from whitenoise.storage import (  # type: ignore[import-untyped]
    CompressedManifestStaticFilesStorage,
)


class ShortNames(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Eight characters of the hash are enough to tell one edition of a file from the next.

    Each page names some fifteen files, and what is random cannot be packed.
    """

    def file_hash(self, name: str, content: Any = None) -> str | None:
        whole: str | None = super().file_hash(name, content)
        return whole and whole[:8]

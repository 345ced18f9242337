"""Where a figure comes from, said as surely as it is known."""

from __future__ import annotations


def source_words(source: str, flag: str) -> str:
    """ "Source: …, from memory."; the flags are those of fixtures/README.md."""
    if source == "none":
        return "Common practice, no source."
    how = {
        "read in a third-party copy of the source": ", read in a reprint",
        "from memory, needs care": ", from memory",
    }.get(flag, "")
    return f"Source: {source}{how}."

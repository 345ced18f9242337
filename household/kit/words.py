"""Amounts of time in words, the same on every page. Minutes are whole numbers."""

from __future__ import annotations

from typing import Final

COUNTS: Final = (
    "none",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
)
MINUS: Final = "\N{MINUS SIGN}"
NARROW: Final = "\N{NO-BREAK SPACE}"


def duration(minutes: int) -> str:
    """45 -> "45 min", 210 -> "3 h 30", 120 -> "2 h 00", 0 -> "0 min"; the sign is dropped."""
    hours, rest = divmod(abs(minutes), 60)
    if not hours:
        return f"{rest}{NARROW}min"
    return f"{hours}{NARROW}h{NARROW}{rest:02d}"


def signed_duration(minutes: int) -> str:
    """+3 h 30, −45 min, and plain "0 min" for nothing."""
    if not minutes:
        return duration(0)
    return f"{'+' if minutes > 0 else MINUS}{duration(minutes)}"


def spoken_duration(minutes: int) -> str:
    """For those who listen: "3 hours 30 minutes"."""
    hours, rest = divmod(abs(minutes), 60)
    parts = []
    if hours:
        parts.append("1 hour" if hours == 1 else f"{hours} hours")
    if rest or not hours:
        parts.append("1 minute" if rest == 1 else f"{rest} minutes")
    return " ".join(parts)


def count_word(count: int) -> str:
    """Up to ten in a word, above that in figures."""
    return COUNTS[count] if 0 <= count < len(COUNTS) else str(count)


def listed(names: list[str]) -> str:
    """["Bea", "Ilo", "Wren"] -> "Bea, Ilo and Wren"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def from_outside(helper: str) -> str:
    """A helper who is no member, so that nobody takes them for one."""
    return f"{helper}, from outside"

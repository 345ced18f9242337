"""The one error of this package."""

from __future__ import annotations


class RuleError(ValueError):
    """A rule or repeat that cannot be used. The message says what is wrong and what to do."""

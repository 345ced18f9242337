"""The ways in which an action can say no. Views turn them into words once, at the edge.

Actions raise these with a sentence that a person may read as it stands.
"""

from __future__ import annotations


class HouseholdError(Exception):
    """Something a person asked for was not done; `message` says why in a sentence.

    `field` names the form field that the sentence belongs to, or is empty for the whole form.
    `status` is the HTTP status of the answer.
    """

    status = 422

    def __init__(self, message: str, *, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class Refused(HouseholdError):
    """The household's own rules or a hard limit stand against it (age, hazard, a closed task)."""


class NotAllowed(HouseholdError):
    """This person may see the thing, but may not change it."""

    status = 403


class Conflict(HouseholdError):
    """Somebody else changed it first; the sentence says how it stands now."""

    status = 409

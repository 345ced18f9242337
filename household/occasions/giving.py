"""Gift ideas and past gifts, as people write them down. Who they are for never sees them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from household.kit.errors import Refused
from household.kit.writing import writes
from household.occasions.models import Gift, Occasion
from household.people.models import Household, Member

YOURSELF = "A gift for yourself would not stay a secret. Choose somebody else."
NOBODY = "Say whom it is for."


@dataclass(frozen=True, slots=True)
class Present:
    """A gift as it is written down: column values and the members it is for."""

    fields: Mapping[str, Any]
    members: Sequence[Member] = ()


@writes
def add_gift(
    *,
    household: Household,
    actor: Member,
    present: Present,
    now: datetime,
    occasion: Occasion | None = None,
    key: UUID | None = None,
) -> Gift:
    """Write a gift down. Sent again, it is written once."""
    _must_be_for_others(actor, present)
    if key is not None:
        before = Gift.objects.filter(household=household, key=key).first()
        if before is not None:
            return before
    gift = Gift.objects.create(
        household=household,
        occasion=occasion,
        added_by=actor,
        created_at=now,
        key=key,
        **present.fields,
    )
    gift.members.set(present.members)
    return gift


@writes
def change_gift(*, gift: Gift, actor: Member, present: Present) -> None:
    _must_be_for_others(actor, present)
    Gift.objects.filter(pk=gift.pk).update(**present.fields)
    gift.members.set(present.members)


@writes
def give(*, gift: Gift, year: int) -> None:
    """It was given in this year; it stays in the list, so that nobody gives it twice."""
    Gift.objects.filter(pk=gift.pk).update(given=year)


@writes
def archive_gift(*, gift: Gift, now: datetime) -> None:
    Gift.objects.filter(pk=gift.pk, archived_at=None).update(archived_at=now)


@writes
def restore_gift(*, gift: Gift) -> None:
    Gift.objects.filter(pk=gift.pk).update(archived_at=None)


def _must_be_for_others(actor: Member, present: Present) -> None:
    who = str(present.fields.get("who", ""))
    if actor in present.members or who.casefold() == actor.name.casefold():
        raise Refused(YOURSELF, field="members")
    if not present.members and not who:
        raise Refused(NOBODY, field="members")

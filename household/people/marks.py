"""Marks: a shape and a hue together tell a member from the others, also in black and white."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from itertools import product

from household.people.models import Household, Hue, Member, Shape


@dataclass(frozen=True, slots=True)
class Mark:
    shape: Shape
    hue: Hue

    @property
    def key(self) -> str:
        return f"{self.hue}-{self.shape}"

    @property
    def words(self) -> str:
        """Blue disc, plum half disc."""
        return f"{self.hue.label} {str(self.shape.label).lower()}"


MARKS = tuple(Mark(shape, hue) for hue, shape in product(Hue, Shape))
BY_KEY = {mark.key: mark for mark in MARKS}


def mark_of(member: Member) -> Mark:
    return Mark(Shape(member.shape), Hue(member.hue))


def taken(household: Household, *, besides: Member | None = None) -> dict[Mark, str]:
    """The marks in use now, each with the name of whose it is."""
    others = Member.objects.filter(household=household, archived_at=None)
    if besides is not None:
        others = others.exclude(pk=besides.pk)
    return {mark_of(member): member.name for member in others}


def free(used: Collection[Mark]) -> list[Mark]:
    """The marks nobody has, those that differ most from the ones in use first."""
    shapes = [mark.shape for mark in used]
    hues = [mark.hue for mark in used]
    return sorted(
        (mark for mark in MARKS if mark not in used),
        key=lambda mark: shapes.count(mark.shape) + hues.count(mark.hue),
    )

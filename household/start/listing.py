"""The pages of the short path as their templates need them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from django.forms import BoundField
from django.urls import reverse

from household.chores.rows import LEVELS, caution
from household.people.models import Household
from household.start.forms import ChoresForm, OfferRow
from household.start.offers import Offer

STEPS = (("members", "Members"), ("areas", "Areas"), ("chores", "Chores"))


@dataclass(frozen=True, slots=True)
class Step:
    number: int
    name: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class ChoreRow:
    fields: OfferRow
    name: str
    minutes: str
    week: str
    level: str
    rhythm: str
    only_if: str
    source: str
    caution_first: str
    caution_rest: str
    caution_source: str
    ticked: bool
    whom: str

    @property
    def on(self) -> BoundField:
        return self.fields.on


@dataclass(frozen=True, slots=True)
class ChoreGroup:
    """The offers of one area. minutes: a week, of those ticked."""

    name: str
    rows: list[ChoreRow]
    count: int
    minutes: Fraction
    opens: bool

    @property
    def total(self) -> int:
        return len(self.rows)

    @property
    def week(self) -> int:
        return round(self.minutes)


def steps(household: Household, here: str) -> list[Step]:
    return [
        Step(number, words, reverse(f"start:{name}", args=[household.pk]), name == here)
        for number, (name, words) in enumerate(STEPS, start=1)
    ]


def chore_groups(form: ChoresForm, offers: Sequence[Offer]) -> list[ChoreGroup]:
    """The offers under their areas; they must come in the areas' order."""
    found = []
    for area, own in groupby(offers, key=lambda offer: offer.area):
        pairs = [(offer, _row(form, offer)) for offer in own]
        ticked = [offer for offer, row in pairs if row.ticked]
        found.append(
            ChoreGroup(
                name=area.name,
                rows=[row for _, row in pairs],
                count=len(ticked),
                minutes=sum((offer.week for offer in ticked), Fraction(0)),
                opens=any(row.fields.has_errors for _, row in pairs),
            )
        )
    return found


def minutes_ticked(groups: Iterable[ChoreGroup]) -> int:
    return round(sum((group.minutes for group in groups), Fraction(0)))


def _row(form: ChoresForm, offer: Offer) -> ChoreRow:
    common, fields = offer.common, form.row(offer)
    first, rest = caution(common.caution, common.hazards)
    return ChoreRow(
        fields=fields,
        name=str(fields.name.value() or common.name),
        minutes=str(fields.minutes.value() or ""),
        # Minutes a week for each minute that it takes: the page's sum follows what is typed.
        week=f"{float(offer.week / common.minutes):.4f}",
        level=LEVELS.get(str(common.columns["level"]), ""),
        rhythm=common.rhythm_words(offer.repeat),
        only_if=common.only_if,
        source=common.source_words,
        caution_first=first,
        caution_rest=rest,
        caution_source=common.caution_words,
        ticked=bool(fields.on.value()),
        whom=offer.whom.name if offer.whom else "",
    )

"""The common chores that a home is offered: which, for whom, and which are ticked beforehand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from household.areas.models import Area
from household.calc import spreading
from household.calc.recurrence.repeat import Kind, Repeat
from household.chores.eligibility import eligible
from household.chores.models import Chore, Who
from household.kit.words import listed
from household.people.models import Household, Member
from household.start import starter
from household.start.queries import areas_here, free_together, living_here
from household.start.starter import Common

# Of the minutes free in a week, how much the chores ticked beforehand may fill: the rest is for
# what comes up. Common practice, no source.
FILL = Fraction(4, 5)
HIGH = 3  # what matters much, and health and safety, is ticked whatever it takes


@dataclass(frozen=True, slots=True)
class Offer:
    """One suggested chore of this home. `whom` it is suggested for, or None for whoever may."""

    key: str
    common: Common
    area: Area
    repeat: Repeat
    week: Fraction
    may: tuple[Member, ...]
    whom: Member | None = None
    ticked: bool = False

    @property
    def name_there(self) -> tuple[int, str]:
        return self.area.pk, self.common.name.casefold()

    @property
    def as_there(self) -> set[tuple[int, str, int | None]]:
        """How this chore, once added, is found again."""
        return {(*self.name_there, self.whom.pk if self.whom else None)}

    @property
    def fits_any_home(self) -> bool:
        return bool(self.may) and not self.common.only_if and self.repeat.kind != Kind.ONCE

    @property
    def who_choices(self) -> list[tuple[str, str]]:
        """Value and words, the usual one first: a given member, the area's owner, or turns."""
        always = [(str(member.pk), f"Always {member.name}") for member in self.may]
        anyone = (Who.ANYONE.value, "Anyone: it waits to be taken")
        if not self.may:
            return [anyone]
        names = listed([member.name for member in self.may])
        choices = [(Who.TURNS.value, f"In turn: {names}"), anyone, *always]
        if self.area.owner in self.may:
            choices.insert(0, (Who.OWNER.value, f"{self.area.owner}, whose area it is"))
        if self.whom is not None:
            choices.sort(key=lambda choice: choice[0] != str(self.whom and self.whom.pk))
        return choices


def offers(household: Household, today: date) -> list[Offer]:
    """Suggested chores that this home does not have yet, by area; the sensible ones ticked."""
    people, areas = living_here(household), areas_here(household)
    there = _there(household)
    own = list(_by_member(household, areas, people, today))
    named = {offer.name_there for offer in own}
    common = _by_area(household, areas, people, today)
    found = [*own, *(offer for offer in common if offer.name_there not in named)]
    fresh = [offer for offer in found if not there & offer.as_there]
    begun = {area for area, *_ in there}
    ticked = _sensible([offer for offer in fresh if offer.area.pk not in begun], people)
    place = {area.pk: place for place, area in enumerate(areas)}
    fresh.sort(key=lambda offer: place[offer.area.pk])
    return [replace(offer, ticked=offer.key in ticked) for offer in fresh]


def _there(household: Household) -> set[tuple[int, str, int | None]]:
    """Area, name and the one who always does it, and once more for whoever does it."""
    chores = Chore.objects.filter(household=household, archived_at=None)
    rows = chores.values_list("area_id", "name", "fixed_id")
    return {(a, n.casefold(), who) for a, n, fixed in rows for who in (fixed, None)}


def _by_area(
    household: Household, areas: Iterable[Area], people: Sequence[Member], today: date
) -> Iterator[Offer]:
    for area in areas:
        for common in starter.for_areas().get(area.kind, ()):
            yield _offer(f"{area.pk}-{common.key}", common, area, household, people, today)


def _by_member(
    household: Household, areas: Sequence[Area], people: Sequence[Member], today: date
) -> Iterator[Offer]:
    for member in people:
        for common in starter.for_members().get(member.age_band, ()):
            area = _place_for(common, member, areas)
            if area is not None:
                key = f"{area.pk}-{common.key}-{member.pk}"
                offer = _offer(key, common, area, household, people, today)
                if member in offer.may:
                    yield replace(offer, whom=member)


def _offer(
    key: str,
    common: Common,
    area: Area,
    household: Household,
    people: Sequence[Member],
    today: date,
) -> Offer:
    repeat = common.repeat(today, household.first_weekday)
    limits = Chore(name=common.name, min_age=common.min_age, hazards=list(common.hazards))
    return Offer(
        key=key,
        common=common,
        area=area,
        repeat=repeat,
        week=spreading.week_minutes(repeat, common.minutes),
        may=tuple(eligible(limits, people)),
    )


def _place_for(common: Common, member: Member, areas: Sequence[Area]) -> Area | None:
    """The area of this kind that is the member's own, else the first that is nobody's own."""
    kinds = [common.area_kind]
    if common.area_kind == "child_bedroom":
        kinds.append("bedroom")
    for kind in kinds:
        fitting = [area for area in areas if area.kind == kind]
        own = [area for area in fitting if area.owner_id == member.pk]
        free = [area for area in fitting if area.owner_id is None]
        if own or free:
            return (own or free)[0]
    return None


def _sensible(offers: Sequence[Offer], people: Sequence[Member]) -> set[str]:
    """Keys of those to tick beforehand: what nearly every home needs, up to the minutes free.

    Each child's own first, within the child's own time; then what matters much, whatever it
    takes; then the rest while there is time, one from each area in turn.
    """
    left = sum(free_together(people)) * FILL
    own_left = {member.pk: sum(member.free_minutes) * FILL for member in people}
    chosen: set[str] = set()
    stood_for: set[tuple[int, str]] = set()
    for offer in _most_needed_first(offers):
        names = {(offer.area.pk, offer.common.name), (offer.area.pk, offer.common.like)}
        if not offer.fits_any_home or (offer.area.pk, offer.common.name) in stood_for:
            continue
        room = left if offer.whom is None else min(left, own_left[offer.whom.pk])
        if offer.week > room and offer.common.importance < HIGH:
            continue
        chosen.add(offer.key)
        left -= offer.week
        if offer.whom is not None:
            own_left[offer.whom.pk] -= offer.week
            stood_for |= names
    return chosen


def _most_needed_first(offers: Sequence[Offer]) -> list[Offer]:
    seen: Counter[int] = Counter()
    ranked = []
    for offer in offers:
        seen[offer.area.pk] += 1
        matters = offer.common.importance >= HIGH
        rank = (offer.whom is None, not matters, -offer.common.importance, seen[offer.area.pk])
        ranked.append((rank, offer))
    return [offer for _, offer in sorted(ranked, key=lambda pair: pair[0])]

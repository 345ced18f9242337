"""What other rooms say of occasions: on the days of a week or month, and in good time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.core.cache import cache
from django.db import transaction

from household.occasions import listing, queries, wording
from household.people.models import Household, Member

# Where a change is made by another process, it is seen this much later at the latest.
KEPT_SECONDS = 600


@dataclass(frozen=True, slots=True)
class OnDay:
    """An occasion on one of its days, in words."""

    words: str
    url: str


def on_days(household: Household, first: date, last: date) -> dict[date, list[OnDay]]:
    """What is on each day from `first` to `last`. One query or two, however many."""
    return {
        day: [_on_day(each) for each in found]
        for day, found in queries.of_days(household, first, last).items()
    }


def on_day(household: Household, day: date) -> list[OnDay]:
    """What is on one day, kept from one look to the next: pages of today ask for it again
    and again, and occasions seldom change."""
    kept: tuple[date, list[OnDay]] | None = cache.get(_key(household.pk))
    if kept is not None and kept[0] == day:
        return kept[1]
    found = on_days(household, day, day).get(day, [])
    cache.set(_key(household.pk), (day, found), KEPT_SECONDS)
    return found


def forget(household_id: int) -> None:
    """After a change of occasions: now, and again when others can see the change."""
    cache.delete(_key(household_id))
    transaction.on_commit(lambda: cache.delete(_key(household_id)))


def _key(household_id: int) -> str:
    return f"occasions:{household_id}"


def _on_day(each: queries.Coming) -> OnDay:
    count = wording.count_words(each.occasion, each.falls)
    words = ", ".join(part for part in (each.occasion.name, count) if part)
    return OnDay(words, listing.url_of("occasion", each.occasion))


@dataclass(frozen=True, slots=True)
class InTime:
    """A lead job that must be ready within some days: by when, what, for what, how it stands."""

    by: str
    name: str
    occasion: str
    words: str
    url: str
    done: bool


def in_good_time(
    household: Household, first: date, last: date, member: Member, today: date
) -> Sequence[InTime]:
    """Lead jobs to be ready from `first` to `last`, without those that are kept from the member."""
    viewer = listing.viewer_of(member, today)
    found = []
    for lead in queries.in_good_time(household, first, last, member, viewer.living):
        line = listing.lead_line(lead, viewer, dated=False)
        found.append(
            InTime(
                by=viewer.words.short(lead.closes),
                name=lead.job.name,
                occasion=lead.occasion.name,
                words=line.words,
                url=line.url or listing.url_of("occasion", lead.occasion),
                done=line.done,
            )
        )
    return found

"""Reading ideas and offers. Whoever is not named as a viewer sees nothing private."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from household.breathers.models import Breather, Company, Offer
from household.people.models import Household, Member


def has_any(household: Household, first: date) -> bool:
    """Whether anything may be on offer on this day or later; asks nothing."""
    until = household.breathers_until
    return until is not None and until >= first


def ideas(
    household: Household, viewer: Member | None, *, archived: bool = False
) -> QuerySet[Breather]:
    """The ideas that a viewer may know of; None is a shared screen. Those of who left are gone."""
    return (
        Breather.objects.filter(
            Q(private=False) | Q(owner=viewer) if viewer else Q(private=False),
            Q(owner=None) | Q(owner__archived_at=None),
            household=household,
            archived_at__isnull=not archived,
        )
        .select_related("owner")
        .order_by("id")
    )


def offers(household: Household, viewer: Member | int | None) -> QuerySet[Offer]:
    """What weeks offer, as a viewer may know of it: another's private breather is not there.

    viewer: a member or their id; None is a shared screen.
    """
    private = Q(breather__private=True)
    hidden = private & ~Q(member=viewer) if viewer else private
    return (
        Offer.objects.filter(household=household, breather__archived_at=None)
        .exclude(hidden)
        .filter(Q(member=None) | Q(member__archived_at=None))
        .filter(Q(other=None) | Q(other__archived_at=None))
        .select_related("breather", "member", "other")
        .order_by("day", "id")
    )


def standing(household: Household, viewer: Member | int | None) -> QuerySet[Offer]:
    """The same without what was turned down for its week."""
    return offers(household, viewer).filter(left_out=False)


def with_member(found: QuerySet[Offer], member_id: int) -> QuerySet[Offer]:
    """Those that this member is in: one's own, of two, and of all."""
    return found.filter(Q(member=member_id) | Q(other=member_id) | Q(company=Company.ALL))


@dataclass(frozen=True, slots=True)
class Past:
    """One idea offered in some week, by the ids of those who are in it."""

    starts: date
    company: str
    member: int | None
    other: int | None
    breather: int


def history(household: Household, *, but: Offer | None = None) -> list[Past]:
    """Everything that was offered and not turned down, oldest first, but one."""
    rows = Offer.objects.filter(household=household, left_out=False)
    if but is not None:
        rows = rows.exclude(pk=but.pk)
    columns = ("starts", "company", "member_id", "other_id", "breather_id")
    return [Past(*row) for row in rows.order_by("starts", "id").values_list(*columns)]


def offered_in(household: Household, weeks: Sequence[date]) -> set[tuple[date, str, int | None]]:
    """What these weeks have already: (week, company, the member of one for oneself)."""
    rows = Offer.objects.filter(household=household, starts__in=weeks)
    return {
        (starts, company, member if company == Company.ONESELF else None)
        for starts, company, member in rows.values_list("starts", "company", "member_id")
    }


def without_offers(households: Collection[int], weeks: dict[int, date]) -> list[int]:
    """The households that have ideas and nothing offered yet; `weeks` by first weekday."""
    have_ideas = dict(
        Breather.objects.filter(household__in=households, archived_at=None)
        .order_by()
        .values_list("household_id", "household__first_weekday")
        .distinct()
    )
    offered = set(
        Offer.objects.filter(household__in=have_ideas, starts__in=set(weeks.values()))
        .order_by()
        .values_list("household_id", "starts")
    )
    return sorted(
        household
        for household, weekday in have_ideas.items()
        if (household, weeks[weekday]) not in offered
    )

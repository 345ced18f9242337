"""Offers in words, the same on every page."""

from __future__ import annotations

from django.urls import reverse

from household.breathers.models import Breather, Company, Offer
from household.kit.words import NARROW, duration
from household.people.models import Member


def who_words(offered: Offer, viewer: Member | None = None) -> str:
    """For whom it is: "for you", "Dev and you", "Marit and Dev", "all of us"."""
    if offered.company == Company.ALL:
        return "all of us"
    names = [each.name for each in (offered.member, offered.other) if each is not None]
    here = viewer.pk if viewer else None
    if offered.company == Company.ONESELF:
        return "for you" if offered.member_id == here else f"for {names[0]}"
    if here == offered.member_id:
        return f"{names[1]} and you"
    if here == offered.other_id:
        return f"{names[0]} and you"
    return " and ".join(names)


def minutes_words(breather: Breather) -> str:
    return duration(breather.minutes).replace(NARROW, " ") if breather.minutes else ""


def line_words(offered: Offer, viewer: Member | None = None) -> str:
    """A game of cards, Dev and you."""
    return f"{offered.breather.name}, {who_words(offered, viewer)}"


def url_of(offered: Offer) -> str:
    return reverse("breathers:offer", args=[offered.household_id, offered.pk])


def is_in(offered: Offer, member: Member) -> bool:
    return offered.company == Company.ALL or member.pk in (offered.member_id, offered.other_id)


def may_change(offered: Offer, member: Member) -> bool:
    """Whoever is in it, and organisers for those whose breather is no secret."""
    return is_in(offered, member) or (member.organises and not offered.breather.private)

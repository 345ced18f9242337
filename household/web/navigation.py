"""What stands in the bar of every page: only what exists, and for whom it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

from django.conf import settings
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from household.people.models import Member, Role


@dataclass(frozen=True, slots=True)
class Item:
    """`place` is "both", "wide" (laptop only) or "bar" (the phone's bar only)."""

    name: str
    url: str
    current: bool
    place: str = "both"


# name in the bar, address name, where it stands
PLACES = (
    ("Today", "web:today", "both"),
    ("Week", "week:this", "both"),
    ("Ask", "requests:ask", "bar"),
    ("Requests", "requests:list", "wide"),
    ("Chores", "chores:list", "wide"),
    ("Areas", "areas:list", "wide"),
    ("Members", "people:members", "wide"),
    ("Overview", "overview:overview", "wide"),
    ("Search", "web:search", "wide"),
    ("More", "web:more", "bar"),
)
FOR_CHILDREN = {
    "web:today",
    "week:this",
    "requests:ask",
    "requests:list",
    "overview:overview",
    "web:search",
    "web:more",
}


Places: TypeAlias = "tuple[tuple[str, str, str], ...]"


@lru_cache(maxsize=2000)
def _addresses(household_id: int, is_child: bool) -> Places:
    """Name, address and place of each item."""
    return tuple(
        (name, reverse(address, args=[household_id]), place)
        for name, address, place in PLACES
        if not is_child or address in FOR_CHILDREN
    )


def wide_pages(member: Member) -> list[tuple[str, str]]:
    """Name and address of what a phone's bar has no room for: it stands on More."""
    places = _addresses(member.household_id, member.role == Role.CHILD)
    return [(name, url) for name, url, place in places if place == "wide"]


def navigation(request: HttpRequest) -> dict[str, Any]:
    member = getattr(request, "member", None)
    if member is None:
        return {}
    household, here = member.household, request.path
    places = _addresses(household.pk, member.role == Role.CHILD)
    current = tuple(url for _, url, _ in places if here.startswith(url))
    draw = _bar if settings.DEBUG else _drawn_bar
    who = (member.name, member.shape, member.hue)
    return {
        "nav": draw(household.name, who, places, current),
        "member": member,
        "household": household,
    }


def _bar(home: str, who: tuple[str, str, str], places: Places, current: tuple[str, ...]) -> str:
    """The bar as HTML: it looks the same on many pages, so it is drawn once and kept."""
    name, shape, hue = who
    context = {
        "home": home,
        "nav": [Item(name, url, url in current, place) for name, url, place in places],
        "name": name,
        "shape": shape,
        "hue": hue,
        "more_url": next(url for name, url, _ in places if name == "More"),
    }
    return render_to_string("parts/_nav.html", context)


_drawn_bar = lru_cache(maxsize=1000)(_bar)

"""What stands in the bar of every page: only what exists, and for whom it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from household.people.models import Role


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
    ("More", "web:more", "bar"),
)
FOR_CHILDREN = {
    "web:today",
    "week:this",
    "requests:ask",
    "requests:list",
    "overview:overview",
    "web:more",
}


def navigation(request: HttpRequest) -> dict[str, Any]:
    member = getattr(request, "member", None)
    if member is None:
        return {}
    household = member.household
    here = request.path
    items = []
    for name, address, place in PLACES:
        if member.role == Role.CHILD and address not in FOR_CHILDREN:
            continue
        url = reverse(address, args=[household.pk])
        items.append(Item(name, url, here.startswith(url), place))
    return {
        "nav": items,
        "member": member,
        "household": household,
        "more_url": reverse("web:more", args=[household.pk]),
    }

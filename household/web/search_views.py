"""One search box over everything that a member may open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final
from urllib.parse import urlencode

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from household.calc.finding import MOST_SIGNS, Wanted, found
from household.kit.pages import render_page
from household.kit.paging import page_of
from household.people.access import MemberRequest, members_only
from household.people.models import Member
from household.web.search_groups import GROUPS, Group, Hit

FIRST: Final = 5  # of each group, with a way to all of them
ALL: Final = 200  # on one page


@dataclass(frozen=True, slots=True)
class Found:
    """What one group has; `all_url` where it has more than are shown."""

    key: str
    title: str
    hits: Sequence[Hit]
    count: int
    all_url: str = ""


@members_only
@require_GET
def search(request: MemberRequest) -> HttpResponse:
    """What was looked for stands in the address; `in` names one group, of which all is shown."""
    query = " ".join(request.GET.get("q", "")[:MOST_SIGNS].split())
    member, wanted = request.member, Wanted.of(query)
    today = request.household.today(timezone.now())
    only = next((group for group in _open_to(member) if group.key == request.GET.get("in")), None)
    context = {"query": query, "short": bool(query) and not wanted.is_long_enough}
    groups: list[Found] = []
    if wanted.is_long_enough and only is not None:
        page = page_of(request, _hits(only, wanted, member, today), size=ALL)
        groups = [Found(only.key, only.title, page.rows, page.total)] if page.total else []
        context |= {"page": page, "everything_url": _address(request, query)}
    elif wanted.is_long_enough:
        groups = _some_of_each(request, query, wanted, today)
    context |= {
        "groups": groups,
        "total": sum(group.count for group in groups),
        "asked": wanted.is_long_enough,
        "only": only.title if only else "",
    }
    return render_page(request, "web/search.html", context, fragment="web/_found.html")


def _open_to(member: Member) -> list[Group]:
    return [group for group in GROUPS if member.role in group.roles]


def _some_of_each(request: MemberRequest, query: str, wanted: Wanted, today: date) -> list[Found]:
    found_ = []
    for group in _open_to(request.member):
        hits = _hits(group, wanted, request.member, today)
        more = _address(request, query, group.key) if len(hits) > FIRST else ""
        if hits:
            found_.append(Found(group.key, group.title, hits[:FIRST], len(hits), more))
    return found_


def _hits(group: Group, wanted: Wanted, member: Member, today: date) -> list[Hit]:
    known = list(group.find(member, today))
    numbers = found(wanted, ((hit.texts, number) for number, hit in enumerate(known)))
    return [known[number] for number in numbers]


def _address(request: MemberRequest, query: str, key: str = "") -> str:
    return f"{request.path}?{urlencode({'q': query, **({'in': key} if key else {})})}"

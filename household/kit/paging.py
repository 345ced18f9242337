"""Long lists in pages, with the neighbours' addresses ready for the template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest

Row = TypeVar("Row")


@dataclass(frozen=True)
class PageOf(Generic[Row]):
    """One page of rows. `newer` and `older` are addresses, empty at either end."""

    rows: Sequence[Row]
    number: int
    count: int
    total: int
    newer: str
    older: str


def page_of(
    request: HttpRequest, rows: QuerySet[Any, Row] | Sequence[Row], *, size: int = 50
) -> PageOf[Row]:
    """The page that `?page=` asks for; a number out of range gives the nearest page."""
    paginator = Paginator(rows, size)
    page = paginator.get_page(request.GET.get("page"))

    def address(number: int) -> str:
        query = request.GET.copy()
        query["page"] = str(number)
        return f"{request.path}?{query.urlencode()}"

    return PageOf(
        rows=list(page.object_list),
        number=page.number,
        count=paginator.num_pages,
        total=paginator.count,
        newer=address(page.previous_page_number()) if page.has_previous() else "",
        older=address(page.next_page_number()) if page.has_next() else "",
    )

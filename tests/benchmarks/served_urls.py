"""The hub's addresses, and a few that only benchmarks ask for."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.urls import include, path

from household.web import keeping
from household.web.views import today


def bare(request: HttpRequest) -> HttpResponse:
    """The yardstick: whose session is it, and who is that? Two queries, a line of text."""
    return HttpResponse(request.user.get_username())


def anew(request: HttpRequest, household_id: int) -> HttpResponseBase:
    """Today with nothing kept: list and words are made again."""
    keeping.forget_all()
    answer: Any = today(request, household_id=household_id)
    return answer


urlpatterns = [
    path("bench/bare/", bare),
    path("bench/<int:household_id>/anew/", anew),
    path("", include("household.urls")),
]

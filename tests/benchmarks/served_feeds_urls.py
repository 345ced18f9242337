"""The addresses that only the feeds' benchmark asks for, beside the hub's own."""

from __future__ import annotations

from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import include, path


def anew(request: HttpRequest, token: str) -> HttpResponseBase:
    """The feed with nothing kept: as the first answer after a start, the imports done."""
    from household.calc import feed_events
    from household.feeds import door_views, task_events, texts

    texts.forget()
    door_views.forget()
    task_events._coming.clear()
    for kept in (feed_events._escaped, feed_events._days, feed_events._utc):
        kept.cache_clear()
    return door_views.events(request, token=token)


def change(request: HttpRequest, task_id: int) -> HttpResponse:
    """What a tick does to a feed: one task and the household's counter grow."""
    from household.chores.models import Task
    from household.people.models import Household

    Task.objects.filter(pk=task_id).update(sequence=F("sequence") + 1)
    Household.objects.filter(tasks=task_id).update(revision=F("revision") + 1)
    return HttpResponse("changed")


urlpatterns = [
    path("bench/anew/<str:token>/", anew),
    path("bench/change/<int:task_id>/", change),
    path("", include("household.urls")),
]

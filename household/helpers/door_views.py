"""A helper's page, behind a secret address: one list, and nothing else of the household.

There is no session. What was never an address, what is stopped and what is over are told apart
by nobody: all answer 404, whatever the method.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone, translation

from household.devices.throttle import TooSoon
from household.helpers import doing, limiting, listing, queries
from household.helpers.forms import SaidForm, key_of
from household.helpers.models import HelperList, ListedTask
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.outside import outside
from household.kit.pages import render_error, render_page, wants_fragment
from household.kit.secret_address import hash_of

Act = Callable[[HttpRequest, ListedTask, datetime], None]
NO_MESSAGES: dict[str, Any] = {"messages": ()}  # those of whoever else is signed in here


def _for_helper(*methods: str) -> Callable[[Callable[..., HttpResponse]], Any]:
    """Let whoever has the address of a list in that answers."""

    def decorate(view: Callable[..., HttpResponse]) -> Any:
        @outside
        @wraps(view)
        def guarded(request: HttpRequest, token: str, **rest: Any) -> HttpResponse:
            now = timezone.now()
            found = queries.knock(hash_of(token))
            if found is None or not queries.is_open(found, now):
                return _nothing(request, found, now)
            if request.method not in methods:
                return HttpResponseNotAllowed(methods)
            home = found.household
            with timezone.override(home.zone), translation.override(home.language):
                return view(request, token, found, now, **rest)

        return guarded

    return decorate


def _nothing(request: HttpRequest, found: HelperList | None, now: datetime) -> HttpResponse:
    try:
        if found is None:
            limiting.wrong_address(request, now)
    except TooSoon as error:
        return _too_soon(request, error)
    return render_page(request, "helpers/gone.html", NO_MESSAGES, status=404)


def _too_soon(request: HttpRequest, error: TooSoon) -> HttpResponse:
    if wants_fragment(request):
        response = render_error(request, error)
    else:
        context = {**NO_MESSAGES, "sentence": error.message}
        response = render_page(request, "helpers/too_soon.html", context, status=error.status)
    response["Retry-After"] = str(error.seconds)
    return response


@_for_helper("GET", "HEAD")
def show(request: HttpRequest, token: str, row: HelperList, now: datetime) -> HttpResponse:
    try:
        limiting.may_look(row, request)
    except TooSoon as error:
        return _too_soon(request, error)
    doing.note_opening(helper_list=row, now=now)
    return _page(request, token, row, now)


def _page(
    request: HttpRequest,
    token: str,
    row: HelperList,
    now: datetime,
    *,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    words = DateWords(row.household.date_order)
    groups = listing.Reader(row, now).groups()
    rows = [each for group in groups for each in group.rows]
    context = {
        **NO_MESSAGES,
        "row": row,
        "days": listing.days_words(row, words),
        "begun": row.starts <= row.household.today(now),
        "begins": words.day(row.starts),
        "groups": groups,
        "to_go": sum(each.minutes for each in rows if not each.done),
        "left": sum(not each.done for each in rows),
        "notes": row.notes.filter(archived_at=None),
        "url": reverse("helper_door:list", args=[token]),
        "fresh": uuid.uuid4,  # one for each form
        **more,
    }
    fragment = "helpers/_todo.html"
    return render_page(request, "helpers/door.html", context, fragment=fragment, status=status)


def _changing(act: Act) -> Any:
    """A POST that changes one task of the list, and leads back to it."""

    @_for_helper("POST")
    @wraps(act)
    def view(
        request: HttpRequest, token: str, row: HelperList, now: datetime, *, task_id: int
    ) -> HttpResponse:
        try:
            limiting.may_send(row, request, row.household.today(now), now)
            listed = queries.listed(row).get(task_id=task_id)
            listed.list = row
            act(request, listed, now)
        except TooSoon as error:
            return _too_soon(request, error)
        except ObjectDoesNotExist:
            return render_page(request, "helpers/gone.html", NO_MESSAGES, status=404)
        except HouseholdError as error:
            if wants_fragment(request):
                return render_error(request, error)
            more = {"sentence": error.message, "at": task_id}
            return _page(request, token, row, now, status=error.status, **more)
        if wants_fragment(request):
            return _page(request, token, row, now)
        here = reverse("helper_door:list", args=[token])
        return HttpResponseRedirect(f"{here}#task-{task_id}")

    return view


@_changing
def tick(request: HttpRequest, listed: ListedTask, now: datetime) -> None:
    doing.tick(listed=listed, now=now, key=key_of(request.POST))


@_changing
def undo(request: HttpRequest, listed: ListedTask, now: datetime) -> None:
    doing.undo(listed=listed, now=now, key=key_of(request.POST))


@_changing
def say(request: HttpRequest, listed: ListedTask, now: datetime) -> None:
    form = SaidForm(request.POST)
    if not form.is_valid():
        raise HouseholdError(SaidForm.sentence)
    values = form.cleaned_data
    doing.comment(
        listed=listed,
        words=values["words"].strip(),
        minutes=values["minutes"],
        now=now,
        key=form.key_or_new(),
    )

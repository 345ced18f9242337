"""One address, two shapes: a whole page, or the fragment that htmx asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from household.kit.errors import HouseholdError


def wants_fragment(request: HttpRequest) -> bool:
    """Whether htmx asked, for a part of the page only (a restored page wants the whole)."""
    return (
        request.headers.get("HX-Request") == "true"
        and request.headers.get("HX-Boosted") != "true"
        and request.headers.get("HX-History-Restore-Request") != "true"
        and request.headers.get("HX-Request-Type") != "full"
    )


def render_page(
    request: HttpRequest,
    template: str,
    context: Mapping[str, Any] | None = None,
    *,
    fragment: str = "",
    status: int | None = None,
) -> HttpResponse:
    """Render `template`, or `fragment` when htmx asked for a part.

    The status is 422 when the context's `form` is bound and not valid, unless one is given.
    """
    values = dict(context or {})
    if status is None:
        status = 422 if _is_refused(values.get("form")) else 200
    name = fragment if fragment and wants_fragment(request) else template
    response = render(request, name, values, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _is_refused(form: object) -> bool:
    return isinstance(form, BaseForm) and form.is_bound and not form.is_valid()


def go_to(request: HttpRequest, address: str) -> HttpResponse:
    """After a change: a redirect for a browser, and the same as a header for htmx."""
    if request.headers.get("HX-Request") == "true":
        response = HttpResponse(status=204)
        response["HX-Redirect"] = address
    else:
        response = HttpResponseRedirect(address)
    patch_vary_headers(response, ["HX-Request"])
    return response


def render_error(
    request: HttpRequest, error: HouseholdError, *, template: str = "errors/refused.html"
) -> HttpResponse:
    """A refusal outside any form: one sentence, as a page or as the fragment's messages."""
    return render_page(
        request,
        template,
        {"sentence": error.message, "back": request.headers.get("Referer", "")},
        fragment="parts/_refusal.html",
        status=error.status,
    )

"""Answers to what went wrong before a view could run."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from household.kit.pages import render_page


def stale_page(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The form's key does not fit the session any more: say so, and how to go on."""
    return render_page(
        request,
        "errors/stale.html",
        {"back": request.headers.get("Referer", "/")},
        fragment="parts/_refusal.html",
        status=403,
    )

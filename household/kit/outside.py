"""Pages for people who have nothing but a secret address: no session, and nothing that leaks it.

Their pages send no referrer, so that no other site learns the address. Browsers then name the
origin of a form as "null" (Fetch, "append a request Origin header"), which Django refuses: here
it is let through, and the form's own token still has to be right.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.middleware.csrf import CsrfViewMiddleware
from django.utils.decorators import decorator_from_middleware
from django.views.decorators.csrf import csrf_exempt

HEADERS = {
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store, private",
    "X-Robots-Tag": "noindex, nofollow",
}
View = Callable[..., HttpResponseBase]


class _OutsideCsrf(CsrfViewMiddleware):
    def _origin_verified(self, request: HttpRequest) -> bool:
        known: bool = super()._origin_verified(request)  # type: ignore[misc]  # Django's own
        return known or request.META["HTTP_ORIGIN"] == "null"


_checked = decorator_from_middleware(_OutsideCsrf)


def outside(view: View) -> View:
    """Decorate a view behind a secret address."""
    inside: View = _checked(view)

    @csrf_exempt  # from the check of all other pages only
    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        response = inside(request, *args, **kwargs)
        for name, value in HEADERS.items():
            response.headers[name] = value
        return response

    return guarded

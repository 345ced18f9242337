"""What was just done, said with the way to take it back."""

from __future__ import annotations

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest
from django.middleware.csrf import get_token
from django.utils.html import format_html, format_html_join


def say_with_way_back(
    request: HttpRequest,
    sentence: str,
    *,
    url: str,
    button: str,
    fields: Mapping[str, str] | None = None,
) -> None:
    """A message with one button, which sends `fields` to `url`. It works without script."""
    hidden = format_html_join(
        "", '<input type="hidden" name="{}" value="{}">', (fields or {}).items()
    )
    messages.success(
        request,
        format_html(
            '{} <form method="post" action="{}" class="back">'
            '<input type="hidden" name="csrfmiddlewaretoken" value="{}">{}'
            '<button class="act">{}</button></form>',
            sentence,
            url,
            get_token(request),
            hidden,
            button,
        ),
    )

"""Filters and tags for amounts of time and members' marks."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Final

from django import template
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import SafeString

from household.kit import words

register = template.Library()

SHAPES: Final = ("disc", "square", "triangle", "diamond", "cross", "half")
HUES: Final = ("blue", "brick", "green", "violet", "teal", "plum")


@register.filter
def duration(minutes: int) -> str:
    """{{ 210|duration }} -> 3 h 30"""
    return words.duration(minutes)


@register.filter
def signed_duration(minutes: int) -> str:
    """{{ -45|signed_duration }} -> −45 min"""
    return words.signed_duration(minutes)


@register.filter
def spoken_duration(minutes: int) -> str:
    """{{ 210|spoken_duration }} -> 3 hours 30 minutes"""
    return words.spoken_duration(minutes)


@register.filter
def count_word(count: int) -> str:
    """{{ rows|length|count_word }} -> four"""
    return words.count_word(count)


@register.simple_tag
@lru_cache(maxsize=512)
def mark(shape: str, hue: str, size: str = "") -> SafeString:
    """A member's mark: {% mark member.shape member.hue %}, size "", "mid", "big" or "huge".

    It is hidden from screen readers: the member's name always stands beside it.
    """
    return format_html(
        '<svg class="mark {}{}" viewBox="0 0 24 24" aria-hidden="true"><use href="#{}"/></svg>',
        hue if hue in HUES else "ink",
        f" {size}" if size else "",
        shape if shape in SHAPES else "disc",
    )


@register.simple_tag
def same_everywhere(name: str) -> SafeString:
    """A part without any context, the same on every page: it is drawn once and kept."""
    return _draw(name) if settings.DEBUG else _drawn(name)


def _draw(name: str) -> SafeString:
    return render_to_string(name)


_drawn = cache(_draw)

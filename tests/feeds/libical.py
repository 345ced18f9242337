"""A second, independent reader of calendars: Debian's libical (libical3), by ctypes.

It is a C library that shares no code with icalendar, and it checks the restrictions of RFC 5545
on which properties stand where and how often (`icalrestriction_check`).
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Iterator
from ctypes.util import find_library
from dataclasses import dataclass

import pytest

MISSING = "No libical is installed: apt-get install libical3"


@dataclass(frozen=True)
class Component:
    """One VEVENT or VTODO as libical reads it: the first value of each property, by name."""

    kind: str
    values: dict[str, str]
    text: dict[str, str]


@dataclass(frozen=True)
class Read:
    errors: int
    fits: bool  # the restrictions of RFC 5545 are kept
    name: str
    components: list[Component]


NAMES = ("UID", "DTSTART", "DTEND", "DUE", "SEQUENCE", "DTSTAMP", "STATUS", "TRANSP", "URL")
TEXTS = ("SUMMARY", "DESCRIPTION")


class LibICal:
    def __init__(self, path: str) -> None:
        self._lib = ctypes.CDLL(path)
        for name in (
            "icalparser_parse_string",
            "icalcomponent_get_first_component",
            "icalcomponent_get_next_component",
            "icalcomponent_get_first_property",
        ):
            getattr(self._lib, name).restype = ctypes.c_void_p
        for name in (
            "icalproperty_get_value_as_string",
            "icalcomponent_get_summary",
            "icalcomponent_get_description",
            "icalcomponent_kind_to_string",
        ):
            getattr(self._lib, name).restype = ctypes.c_char_p

    def read(self, content: bytes) -> Read:
        whole = ctypes.c_void_p(self._lib.icalparser_parse_string(content))
        assert whole.value, "libical could not read it at all"
        try:
            return Read(
                errors=self._lib.icalcomponent_count_errors(whole),
                fits=bool(self._lib.icalrestriction_check(whole)),
                name=self._value(whole, "X-WR-CALNAME") or self._value(whole, "PRODID"),
                components=list(self._components(whole)),
            )
        finally:
            self._lib.icalcomponent_free(whole)

    def _components(self, whole: ctypes.c_void_p) -> Iterator[Component]:
        for kind in ("VEVENT", "VTODO"):
            number = self._lib.icalcomponent_string_to_kind(kind.encode())
            at = self._lib.icalcomponent_get_first_component(whole, number)
            while at:
                one = ctypes.c_void_p(at)
                yield Component(
                    kind,
                    {name: self._value(one, name) for name in NAMES},
                    {
                        "SUMMARY": self._text(self._lib.icalcomponent_get_summary(one)),
                        "DESCRIPTION": self._text(self._lib.icalcomponent_get_description(one)),
                    },
                )
                at = self._lib.icalcomponent_get_next_component(whole, number)

    def _value(self, component: ctypes.c_void_p, name: str) -> str:
        kind = self._lib.icalproperty_string_to_kind(name.encode())
        found = self._lib.icalcomponent_get_first_property(component, kind)
        if not found:
            return ""
        return self._text(self._lib.icalproperty_get_value_as_string(ctypes.c_void_p(found)))

    @staticmethod
    def _text(value: bytes | None) -> str:
        return (value or b"").decode()


def load() -> LibICal:
    """The library, or a skipped test that says what to install (a failed one in CI)."""
    path = find_library("ical")
    if path is None:
        if "libical" in os.environ.get("HOUSEHOLD_TESTS_MUST_RUN", ""):
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    return LibICal(path)

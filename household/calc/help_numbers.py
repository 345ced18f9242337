"""Numbers to call in an emergency, as a household's first settings. Empty where none is known.

Each household checks and changes them. Sources: 112 for the member states of the European Union
is Directive (EU) 2018/1972, article 109, *from memory*, and pages of the European Commission read
in stored copies ("112 works everywhere in the EU"). The others were read in third-party copies:
911 in notices of United States cities, 999 and the gas numbers of Great Britain and Northern
Ireland in pages of gas suppliers, 111 in a New Zealand alarm maker's page.
"""

from dataclasses import dataclass
from typing import Final

# The member states of the European Union since 2020, from memory.
EU: Final = frozenset(
    (
        *("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU"),
        *("IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"),
    )
)


@dataclass(frozen=True, slots=True)
class HelpNumbers:
    """Whom to call: as they are dialled at home; empty where nothing is known."""

    emergency: str = ""
    gas: str = ""


_KNOWN: Final = {
    "GB": HelpNumbers("999", "0800 111 999"),
    "US": HelpNumbers("911"),
    "NZ": HelpNumbers("111"),
}
_NORTHERN_IRELAND: Final = HelpNumbers("999", "0800 002 001")


def help_numbers(country: str, subdivision: str = "") -> HelpNumbers:
    """The usual numbers of an ISO 3166 country (and, in the United Kingdom, of its part)."""
    wanted = country.strip().upper()
    if wanted == "GB" and subdivision.strip().upper() == "NIR":
        return _NORTHERN_IRELAND
    if wanted in _KNOWN:
        return _KNOWN[wanted]
    return HelpNumbers("112") if wanted in EU else HelpNumbers()

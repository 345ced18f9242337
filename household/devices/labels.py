"""What a browser says of itself, in plain words."""

from __future__ import annotations

from typing import Final

# The first that fits wins: an Android phone also says "Linux", an iPad may say "Mac".
MACHINES: Final = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("CrOS", "Chromebook"),
    ("Windows", "Windows computer"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux computer"),
)
BROWSERS: Final = (
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("EdgA/", "Edge"),
    ("Edg/", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung browser"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)


def label_of(user_agent: str) -> str:
    """ "Android phone, Chrome"; "A device" where nothing is known."""
    machine = _machine(user_agent)
    browser = next((name for sign, name in BROWSERS if sign in user_agent), "")
    return ", ".join(part for part in (machine, browser) if part) or "A device"


def _machine(user_agent: str) -> str:
    if "Android" in user_agent:
        return "Android phone" if "Mobile" in user_agent else "Android tablet"
    return next((name for sign, name in MACHINES if sign in user_agent), "")


def noun_of(user_agent: str) -> str:
    """What to call the thing in a sentence: phone, tablet, computer or device."""
    machine = _machine(user_agent)
    for noun in ("phone", "tablet", "computer"):
        if noun in machine.lower():
            return noun
    return {"iPad": "tablet", "Mac": "computer", "Chromebook": "computer"}.get(machine, "device")

"""A request as a text for somebody outside: no child's name in it, no address unless chosen."""

from __future__ import annotations

import re
from collections.abc import Iterable

from household.calc import dangers
from household.kit.dates import DateWords
from household.people.models import AgeBand, Member, Role
from household.requests.models import HelpKind, Request, Urgency

CHILD = "our child"
URGENCY = {
    Urgency.NOW: "It is urgent.",
    Urgency.SOON: "It would be good soon.",
    Urgency.WHENEVER: "It can wait until it suits you.",
}


def children_of(members: Iterable[Member]) -> list[str]:
    """Names of those who are children, by their role or their age."""
    return [
        member.name
        for member in members
        if member.role == Role.CHILD or member.age_band != AgeBand.ADULT
    ]


def without_names(text: str, names: Iterable[str]) -> str:
    """Each of these names, however it is cased, becomes "our child"."""
    for name in sorted(names, key=len, reverse=True):
        pattern = rf"(?<!\w){re.escape(name)}(?!\w)"
        text = re.sub(pattern, CHILD, text, flags=re.IGNORECASE)
    return text


def text_of(asked: Request, *, words: DateWords, children: Iterable[str], address: str = "") -> str:
    """The message, ready to be sent. Photos are sent beside it, by hand."""
    repair = asked.kind == HelpKind.REPAIR
    lines = [
        "Hello,",
        "",
        f"{'Could you have a look at this for us' if repair else 'Could you help us with this'}?",
        "",
        _sentence(asked.what),
    ]
    if asked.details:
        lines.append(asked.details.strip())
    if asked.area is not None:
        lines.append(f"Where: {asked.area.name}")
    if asked.appliance is not None:
        lines.append(f"What kind: {' '.join(filter(None, _appliance(asked)))}")
    if asked.dangers:
        labels = [dangers.RULES[danger].label for danger in dangers.in_order(asked.dangers)]
        lines.append(f"It may concern: {'; '.join(labels)}")
    lines += ["", URGENCY[Urgency(asked.urgency)]]
    if asked.by is not None:
        lines.append(f"If possible by {words.day(asked.by)}.")
    lines.append("What would it cost, and when could you come?")
    text = without_names("\n".join(lines), children)
    # The address is the organiser's own words, chosen for this message.
    return f"{text}\n\nWhere we live: {address}" if address else text


def _appliance(asked: Request) -> tuple[str, str]:
    assert asked.appliance is not None
    return asked.appliance.name, asked.appliance.model


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."

"""Requests as lists show them: words ready, addresses ready."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, tzinfo
from decimal import Decimal
from typing import Any

from django.urls import reverse

from household.calc import dangers
from household.kit.dates import DateWords
from household.people.models import Household, Member
from household.requests import queries
from household.requests.models import HelpKind, HelpSettings, Request, Standing, Urgency
from household.requests.standing import standing_words, stands


@dataclass(frozen=True, slots=True)
class RequestRow:
    """`new` where the one who looks is asked; `thank_url` where they may say thank you."""

    id: int
    what: str
    url: str
    asker: str
    shape: str
    hue: str
    where: str
    urgency: str
    urgent: bool
    standing: str
    when: str
    for_licensed: bool
    cost: str
    parts: str
    warranty: str
    thank_url: str = ""


@dataclass(frozen=True, slots=True)
class CallNumber:
    """A number with what it is called; `link` is what a telephone dials."""

    name: str
    number: str

    @property
    def link(self) -> str:
        return f"tel:{''.join(sign for sign in self.number if sign in '+0123456789*#')}"


@dataclass(frozen=True, slots=True)
class EmergencyWords:
    """Get safe first, then whom to call."""

    key: str
    label: str
    safe: str
    numbers: tuple[CallNumber, ...]


NUMBER_NAMES = {
    "emergency": "Emergency",
    "gas": "Gas emergency",
    "electricity": "Electricity emergency",
    "water": "Water company",
    "plumber": "Plumber",
}


def emergency_words(found: Iterable[str], help: HelpSettings) -> list[EmergencyWords]:
    wanted = {str(each) for each in found}
    return [
        EmergencyWords(
            key=each.value,
            label=rule.label,
            safe=rule.safe,
            numbers=tuple(
                CallNumber(NUMBER_NAMES[name], getattr(help, name))
                for name in rule.calls
                if getattr(help, name)
            ),
        )
        for each, rule in dangers.EMERGENCIES.items()
        if each.value in wanted
    ]


def money(amount: Decimal | None, currency: str) -> str:
    """£45.50 with the household's own sign, 45.50 kr with its own letters, or nothing."""
    if amount is None:
        return ""
    plain = f"{amount:.2f}".removesuffix(".00")
    if len(currency) == 1 and not currency.isalpha():
        return f"{currency}{plain}"
    return f"{plain}\N{NO-BREAK SPACE}{currency}" if currency else plain


def url_of(name: str, row: Any) -> str:
    return reverse(f"requests:{name}", args=[row.household_id, row.pk])


def rows(
    found: Iterable[Request],
    household: Household,
    today: date,
    *,
    viewer: Member | None,
    currency: str = "",
) -> list[RequestRow]:
    words = DateWords(household.date_order)
    return [_row(asked, words, today, household.zone, viewer, currency) for asked in found]


def _row(
    asked: Request,
    words: DateWords,
    today: date,
    zone: tzinfo,
    viewer: Member | None,
    currency: str,
) -> RequestRow:
    standing = stands(asked)
    may_thank = (
        viewer is not None and asked.asker_id == viewer.pk and standing == Standing.DONE
    ) and asked.taken_by_id != viewer.pk
    by = f", by {words.near(asked.by, today)}" if asked.by else ""
    warranty = words.full(asked.warranty_until) if asked.warranty_until else ""
    return RequestRow(
        id=asked.pk,
        what=asked.what,
        url=url_of("request", asked),
        asker=asked.asker.name if asked.asker else "Somebody",
        shape=asked.asker.shape if asked.asker else "",
        hue=asked.asker.hue if asked.asker else "",
        where=asked.area.name if asked.area else "",
        urgency=f"{Urgency(asked.urgency).label}{by}",
        urgent=asked.urgency == Urgency.NOW,
        standing=standing_words(asked, words, today),
        when=words.near(asked.created_at.astimezone(zone).date(), today),
        for_licensed=asked.for_licensed,
        cost=money(asked.cost, currency),
        parts=asked.parts,
        warranty=warranty,
        thank_url=url_of("thank", asked) if may_thank else "",
    )


def lists_for(member: Member, today: date) -> list[dict[str, Any]]:
    """The page's sections, those that are empty left out: who needs you, yours, everybody's."""
    household = member.household
    seen = queries.with_people(queries.visible(household, member))
    open_ones = list(queries.standing_open(seen).order_by("-created_at", "-id"))
    for_me = {each.pk for each in queries.asked_of(seen, member) if member.pk not in each.declined}
    thanks = list(queries.to_be_thanked(seen, member))
    groups: dict[str, list[Request]] = {
        "done": thanks,
        "asked": [],
        "promised": [],
        "yours": [],
        "others": [],
    }
    for each in open_ones:
        groups[_group(each, member, for_me)].append(each)
    titles = {
        "done": "Done for you",
        "asked": "Can you help?",
        "promised": "What you said you would do",
        "yours": "What you asked for",
        "others": "What else is going on",
    }
    # What cannot wait stands first, whenever it was asked.
    groups["asked"].sort(key=lambda each: each.urgency != Urgency.NOW)
    return [
        {"key": key, "title": titles[key], "rows": rows(found, household, today, viewer=member)}
        for key, found in groups.items()
        if found
    ]


def _group(asked: Request, member: Member, for_me: set[int]) -> str:
    if asked.asker_id == member.pk:
        return "yours"
    if asked.pk in for_me:
        return "asked"
    if asked.taken_by_id == member.pk and stands(asked) == Standing.TAKEN:
        return "promised"
    return "others"


def kind_words(asked: Request) -> str:
    return str(HelpKind(asked.kind).label)

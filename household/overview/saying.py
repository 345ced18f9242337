"""What was just done, in a sentence, with an Undo that takes back exactly those entries."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from household.chores.models import Entry
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest


def say(request: MemberRequest, sentence: str, entries: Iterable[Entry]) -> None:
    say_with_way_back(
        request,
        sentence,
        url=reverse("overview:take_back", args=[request.household.pk]),
        button="Undo",
        fields={"entries": ",".join(str(entry.pk) for entry in entries)},
    )

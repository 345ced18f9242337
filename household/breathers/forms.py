"""What people type about what does them good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from household.breathers.actions import Idea
from household.breathers.models import Breather, Company
from household.kit.forms import PlainForm, SegmentedRadios
from household.people.models import AgeBand

OURS, MINE, PRIVATE = "ours", "mine", "private"
WHOSE = (
    (OURS, "Any of us"),
    (MINE, "Me; the others may know"),
    (PRIVATE, "Me; nobody else sees it"),
)


class IdeaForm(PlainForm, forms.Form):
    """An idea: what, for whom, how long."""

    name = forms.CharField(
        label="What does you good?",
        max_length=80,
        error_messages={"required": "Type a few words, for example “An hour in the garden”."},
    )
    company = forms.ChoiceField(
        label="Who is in it?",
        choices=Company,
        initial=Company.ONESELF,
        widget=SegmentedRadios,
        error_messages={"required": "Choose who is in it."},
    )
    whose = forms.ChoiceField(
        label="Whom is it offered to?",
        choices=WHOSE,
        initial=OURS,
        required=False,
        widget=forms.RadioSelect,
    )
    minutes = forms.IntegerField(
        label="How long does it take?",
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Left empty, it takes as long as it takes.",
        error_messages={
            "invalid": "Type the minutes as a number, for example 30.",
            "min_value": "Type 1 minute or more, or leave it empty.",
            "max_value": "Type 1440 minutes or fewer: that is a whole day.",
        },
    )

    min_age = forms.ChoiceField(
        label="From which age?",
        choices=[(AgeBand.UNDER_5, "Any age"), *AgeBand.choices[1:]],
        initial=AgeBand.UNDER_5,
        required=False,
        help_text="A hot bath, water, tools: it is offered only to those who are old enough.",
    )

    units: ClassVar[Mapping[str, str]] = {"minutes": "minutes"}
    shown_when: ClassVar[Mapping[str, str]] = {"whose": f"company={Company.ONESELF.value}"}
    short_names: ClassVar[Mapping[str, str]] = {
        "name": "What it is",
        "company": "Who is in it",
        "whose": "Whom it is offered to",
        "minutes": "How long it takes",
    }

    def __init__(self, *args: Any, breather: Breather | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if breather is not None:
            self.initial = {
                "name": breather.name,
                "company": breather.company,
                "whose": PRIVATE if breather.private else MINE if breather.owner_id else OURS,
                "minutes": breather.minutes,
                "min_age": breather.min_age,
            }

    def idea(self) -> Idea:
        values = self.cleaned_data
        whose = values["whose"]
        return Idea(
            company=values["company"],
            name=values["name"],
            minutes=values["minutes"],
            mine=whose in (MINE, PRIVATE),
            private=whose == PRIVATE,
            min_age=values["min_age"] or AgeBand.UNDER_5,
        )

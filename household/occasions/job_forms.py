"""What people type of lead jobs, and of the household's own choice for 29 February."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from household.calc.occasions import Leap
from household.kit.forms import Group, PlainForm, SegmentedRadios
from household.occasions.forms import People, whole
from household.occasions.models import LEAPS, MOST_BEFORE, MOST_WINDOW, LeadJob
from household.people.models import AgeBand, Household, Member, WorkKind
from household.people.queries import members


class JobForm(PlainForm, forms.Form):
    """A lead job: what, how long before, how long it takes, who."""

    name = forms.CharField(
        label="What is to be done?",
        max_length=60,
        error_messages={"required": "A few words will do, for example “Write the card”."},
        help_text="Without the gift itself: it stands in lists.",
    )
    days_before = whole("Ready how long before?", 0, MOST_BEFORE)
    window_days = whole(
        "How many days are there to do it in?",
        1,
        MOST_WINDOW,
        help_text="They end on the day by which it must be ready.",
    )
    minutes = whole("How long does it take?", 1, 1440)
    private = forms.BooleanField(
        label="Keep it from those whom the occasion concerns", required=False
    )
    may = People("Who may do it?", help_text="Nobody ticked means anybody.")
    min_age = forms.ChoiceField(label="From what age?", choices=AgeBand.choices)
    work = forms.ChoiceField(label="What kind of work is it?", choices=WorkKind.choices)
    keeper = forms.ModelChoiceField(
        label="Who keeps it in mind?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Nobody in particular",
    )
    keep_minutes = whole("How long does keeping it in mind take?", 0, 600)

    groups = (
        Group(
            "more",
            "More: age, kind of work, who keeps it in mind",
            ("min_age", "work", "keeper", "keep_minutes"),
            True,
        ),
    )
    units: ClassVar[Mapping[str, str]] = {
        "days_before": "days",
        "window_days": "days",
        "minutes": "minutes",
        "keep_minutes": "minutes",
    }

    def __init__(
        self, *args: Any, household: Household, job: LeadJob | None = None, **kwargs: Any
    ) -> None:
        row = job or LeadJob(days_before=7, window_days=3, minutes=15)
        names = [name for name in self.base_fields if name != "keeper"]
        kwargs["initial"] = {
            **{name: getattr(row, name) for name in names},
            "keeper": row.keeper_id,
        }
        super().__init__(*args, **kwargs)
        for name in ("may", "keeper"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = members(household)

    def job_fields(self) -> dict[str, Any]:
        values = dict(self.cleaned_data)
        values["may"] = [member.pk for member in values["may"]]
        return values


class LeapForm(PlainForm, forms.Form):
    leap = forms.ChoiceField(
        label="When is 29 February kept in other years?", choices=LEAPS, widget=SegmentedRadios
    )

    def chosen(self) -> Leap:
        return Leap(self.cleaned_data["leap"])

"""What people type on Today and on a task's page."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.utils.dateparse import parse_datetime

from household.areas.models import Area
from household.areas.queries import areas
from household.kit.forms import PlainForm, choose_from
from household.people.models import Household, Member, Role
from household.people.queries import members


class Sent:
    """What a phone sends with every change: an id made by it, and the moment it happened.

    Either is left out where it was not sent or makes no sense: the change counts all the same.
    """

    def __init__(self, data: Mapping[str, str]) -> None:
        self._data = data

    def key(self) -> uuid.UUID | None:
        try:
            return uuid.UUID(self._data.get("tick_id", ""))
        except ValueError:
            return None

    def moment(self) -> datetime | None:
        try:
            moment = parse_datetime(self._data.get("done_at", ""))
        except ValueError:
            return None
        return moment if moment is not None and moment.tzinfo is not None else None


class QuickAddForm(PlainForm, forms.Form):
    """A one-off for today, added from Today: what and how long."""

    name = forms.CharField(
        label="What is to be done?",
        max_length=80,
        error_messages={"required": "Write what is to be done, for example “Post the parcel”."},
    )
    minutes = forms.IntegerField(
        label="How long does it take?",
        min_value=1,
        max_value=600,
        initial=10,
        error_messages={
            "required": "Type the minutes, for example 10.",
            "invalid": "Type the minutes as a number, for example 10.",
            "min_value": "Type 1 minute or more.",
            "max_value": "Type 600 minutes or fewer; split longer work.",
        },
    )
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    units: ClassVar[dict[str, str]] = {"minutes": "minutes"}
    short_names: ClassVar[dict[str, str]] = {
        "name": "What is to be done",
        "minutes": "How long it takes",
        "day": "The day",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        initial = {"key": uuid.uuid4(), **kwargs.pop("initial", {})}
        super().__init__(*args, initial=initial, prefix="add", **kwargs)


class AddForm(QuickAddForm):
    """A one-off for any day and anyone."""

    day = forms.DateField(
        label="On which day?",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Choose a day.",
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
    )
    by = forms.DateField(
        label="Or any day up to",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year-month-day, for example 2026-12-31."},
    )
    member = forms.ModelChoiceField(
        label="Who does it?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Anyone: it waits to be taken",
    )
    area = forms.ModelChoiceField(
        label="Where?", queryset=Area.objects.none(), required=False, empty_label="Nowhere special"
    )

    def __init__(self, *args: Any, household: Household, viewer: Member, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = members(household)
        if viewer.role == Role.CHILD:
            people = people.filter(pk=viewer.pk)
        choose_from(self, "member", people)
        choose_from(self, "area", areas(household))

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        day, by = values.get("day"), values.get("by")
        if day and by and by < day:
            self.add_error("by", "This day is before the first one. Choose a later day.")
        return values


class SkipForm(PlainForm, forms.Form):
    reason = forms.CharField(
        label="Why not this time?",
        max_length=120,
        error_messages={"required": "A few words will do, for example “We were out”."},
    )


class MeasureForm(PlainForm, forms.Form):
    minutes = forms.IntegerField(
        label="How long did it take?",
        min_value=1,
        max_value=1440,
        error_messages={
            "required": "Type the minutes, for example 20.",
            "invalid": "Type the minutes as a number, for example 20.",
            "min_value": "Type 1 minute or more.",
            "max_value": "A day has 1440 minutes.",
        },
    )
    units: ClassVar[dict[str, str]] = {"minutes": "minutes"}


class MoveForm(PlainForm, forms.Form):
    day = forms.DateField(
        label="To which day?",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Choose a day.",
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
    )


class HandForm(PlainForm, forms.Form):
    member = forms.ModelChoiceField(
        label="Who does it?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Anyone: it waits to be taken",
    )

    def __init__(self, *args: Any, household: Household, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "member", members(household))

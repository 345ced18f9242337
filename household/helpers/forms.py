"""What people type of lists and house notes, and what a helper types."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from typing import Any, ClassVar

from django import forms

from household.helpers import queries
from household.helpers.models import HelperList, HouseNote
from household.kit.forms import Group, PlainForm, choose_from
from household.people.models import AgeBand, Household
from household.requests.forms import date_field
from household.requests.outside_models import Outsider
from household.requests.queries import people_outside

LONGEST = 31  # days
AGES = [AgeBand.ADULT, AgeBand.FROM_16, AgeBand.FROM_12]


class ListForm(PlainForm, forms.Form):
    """For whom, which days, and what may be read there."""

    outsider = forms.ModelChoiceField(
        label="For whom?",
        queryset=Outsider.objects.none(),
        required=False,
        empty_label="Somebody who is not on the list of people outside",
    )
    name = forms.CharField(
        label="What is the name?",
        required=False,
        max_length=60,
        help_text="As it stands in your history: a first name will do.",
    )
    age_band = forms.ChoiceField(
        label="How old?",
        choices=[(band.value, band.label) for band in AGES],
        initial=AgeBand.ADULT,
        help_text="Nobody is given what is too dangerous at their age.",
    )
    starts = date_field("From which day?", required=True)
    ends = date_field("Until which day?", required=True)
    word = forms.CharField(
        label="A word to begin with",
        required=False,
        max_length=300,
        widget=forms.Textarea,
        help_text="It stands at the top of the list.",
    )
    show_how = forms.BooleanField(
        label="How each is done, as it is written with the chore", required=False, initial=True
    )
    notes = forms.ModelMultipleChoiceField(
        label="Which house notes?",
        queryset=HouseNote.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    shown_when: ClassVar[dict[str, str]] = {"name": "outsider="}
    short_names: ClassVar[dict[str, str]] = {
        "outsider": "For whom",
        "name": "The name",
        "starts": "The first day",
        "ends": "The last day",
        "notes": "House notes",
    }
    groups: ClassVar[list[Group]] = [
        Group("whom", "", ("outsider", "name", "age_band")),
        Group("days", "Which days?", ("starts", "ends")),
        Group("read", "What may they read?", ("word", "show_how", "notes")),
    ]

    def __init__(
        self, data: Any = None, *, household: Household, today: date, row: HelperList | None = None
    ) -> None:
        super().__init__(data, initial=_initial(row, today))
        self._today = today
        # Asked for unless somebody is chosen from the list.
        self.fields["name"].required = not (data and data.get("outsider"))
        self.fields["name"].error_messages["required"] = "Type a name, for example “Rosa”."
        choose_from(self, "outsider", people_outside(household))
        choose_from(self, "notes", queries.notes(household))
        if not queries.notes(household).exists():
            del self.fields["notes"]

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        outsider = values.get("outsider")
        if outsider is not None:
            values["name"] = outsider.name[:60]
        values.setdefault("notes", [])
        starts, ends = values.get("starts"), values.get("ends")
        if starts and ends:
            self._check_days(starts, ends)
        return values

    def _check_days(self, starts: date, ends: date) -> None:
        if ends < starts:
            self.add_error("ends", "The last day is before the first one.")
        elif ends < self._today:
            self.add_error("ends", "Those days are over. Choose today or a later day.")
        elif ends - starts >= timedelta(days=LONGEST):
            self.add_error("ends", f"A list is for {LONGEST} days at most. Make another one later.")


def _initial(row: HelperList | None, today: date) -> dict[str, Any]:
    if row is None:
        return {"starts": today, "ends": today, "key": uuid.uuid4()}
    names = ("name", "age_band", "starts", "ends", "word", "show_how")
    initial = {name: getattr(row, name) for name in names}
    return {**initial, "outsider": row.outsider_id, "notes": list(row.notes.all())}


class NoteForm(PlainForm, forms.Form):
    """A house note."""

    title = forms.CharField(
        label="What is it about?",
        max_length=60,
        error_messages={"required": "Type a few words, for example “The alarm”."},
    )
    words = forms.CharField(
        label="What should one know?",
        max_length=1000,
        widget=forms.Textarea,
        error_messages={"required": "Write what one should know."},
    )


class SaidForm(forms.Form):
    """What a helper types at a task: a few words, how long it took, or both."""

    words = forms.CharField(required=False, max_length=500)
    minutes = forms.IntegerField(required=False, min_value=1, max_value=600)
    key = forms.UUIDField(required=False)

    sentence: ClassVar[str] = "Type the minutes as a number from 1 to 600, and up to 500 letters."

    def key_or_new(self) -> uuid.UUID:
        key: uuid.UUID | None = self.cleaned_data.get("key")
        return key or uuid.uuid4()


def key_of(data: Any) -> uuid.UUID | None:
    """The id that the page made for this touch; a senseless one is left out."""
    try:
        return uuid.UUID(data.get("tick_id", ""))
    except ValueError:
        return None

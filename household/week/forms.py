"""What people type on the week's page."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, ClassVar

from django import forms
from django.http import QueryDict

from household.kit.forms import PlainForm, choose_from
from household.people.models import Member
from household.week.models import Preset
from household.week.queries import Week


class PutForm(PlainForm, forms.Form):
    """Who does a task, and on which day of the week."""

    member = forms.ModelChoiceField(label="Who?", queryset=Member.objects.none())
    day = forms.TypedChoiceField(label="On which day?", coerce=date.fromisoformat)

    def __init__(self, data: QueryDict, *, week: Week, **kwargs: Any) -> None:
        super().__init__(self._placed(data), **kwargs)
        living = Member.objects.filter(pk__in=[member.pk for member in week.members])
        choose_from(self, "member", living)
        day = self.fields["day"]
        assert isinstance(day, forms.TypedChoiceField)
        day.choices = [(each.isoformat(), each.isoformat()) for each in week.days]

    @staticmethod
    def _placed(data: QueryDict) -> Mapping[str, Any]:
        """A cell's own button sends both at once: "12:2026-03-16"."""
        member, colon, day = data.get("place", "").partition(":")
        return {"member": member, "day": day} if colon else data


class NotesForm(PlainForm, forms.Form):
    """What matters most, notes, and what the share-out keeps to."""

    priorities = forms.CharField(
        label="What matters most this week?",
        required=False,
        widget=forms.Textarea,
        help_text="One a line.",
        max_length=1000,
    )
    notes = forms.CharField(label="Notes", required=False, widget=forms.Textarea, max_length=4000)
    preset = forms.ChoiceField(
        label="When both cannot be had, the share-out should",
        choices=Preset,
        widget=forms.RadioSelect,
        required=False,
    )

    def __init__(self, *args: Any, week: Week, words: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._days = [day.isoformat() for day in week.days]
        for day in self._days:
            self.fields[f"day_{day}"] = forms.CharField(
                label=words[day], required=False, max_length=200
            )

    def day_notes(self) -> dict[str, str]:
        return {day: self.cleaned_data[f"day_{day}"] for day in self._days}


class StrengthForm(PlainForm, forms.Form):
    """How much strength there is this week, for everybody and for each."""

    strength = forms.IntegerField(
        label="How much strength is there?",
        min_value=0,
        max_value=100,
        required=False,
        widget=forms.NumberInput(attrs={"data-slider": "1"}),
    )

    units: ClassVar[Mapping[str, str]] = {"strength": "percent of usual"}

    def __init__(self, *args: Any, week: Week, **kwargs: Any) -> None:
        plan = week.plan
        initial = {"strength": plan.strength}
        initial |= {f"member_{pk}": percent for pk, percent in plan.strengths.items()}
        super().__init__(*args, initial=initial, **kwargs)
        self._members = week.members
        for member in week.members:
            self.fields[f"member_{member.pk}"] = forms.IntegerField(
                label=member.name,
                min_value=0,
                max_value=100,
                required=False,
                widget=forms.NumberInput(attrs={"data-slider": "1", "placeholder": "as all"}),
            )

    def everybody(self) -> int:
        percent: int | None = self.cleaned_data.get("strength")
        return 100 if percent is None else percent

    def members(self) -> dict[int, int]:
        """Percent by member id, only where it was set."""
        found = {m.pk: self.cleaned_data.get(f"member_{m.pk}") for m in self._members}
        return {pk: percent for pk, percent in found.items() if percent is not None}

    @property
    def member_fields(self) -> list[Any]:
        return [self[f"member_{member.pk}"] for member in self._members]


class MonthNoteForm(PlainForm, forms.Form):
    notes = forms.CharField(
        label="Notes for the month", required=False, widget=forms.Textarea, max_length=4000
    )

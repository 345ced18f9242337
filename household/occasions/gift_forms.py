"""What people type of a gift."""

from __future__ import annotations

from typing import Any

from django import forms

from household.kit.forms import PlainForm
from household.occasions.forms import People, matched, year_field
from household.occasions.giving import Present
from household.occasions.models import Gift
from household.people.models import Household, Member
from household.people.queries import members

NOT_MONEY = ("invalid", "min_value", "max_digits", "max_decimal_places", "max_whole_digits")


class GiftForm(PlainForm, forms.Form):
    """An idea for a gift, or one that was given. The one who writes cannot choose themselves."""

    idea = forms.CharField(
        label="What would be a good gift?",
        max_length=120,
        error_messages={"required": "A few words will do."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    members = People("Who is it for?")
    who = forms.CharField(
        label="Or somebody else",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    cost = forms.DecimalField(
        label="What does it cost?",
        required=False,
        min_value=0,
        max_digits=10,
        decimal_places=2,
        error_messages=dict.fromkeys(NOT_MONEY, "Type an amount, for example 25 or 12.50."),
    )
    given = year_field("Given in which year?", help_text="Empty while it is only an idea.")
    note = forms.CharField(label="Note", required=False, max_length=200)
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, household: Household, writer: Member, gift: Gift | None = None, **kw: Any
    ) -> None:
        if gift is not None:
            same = ("idea", "who", "cost", "given", "note")
            kw["initial"] = {
                **{name: getattr(gift, name) for name in same},
                "members": [member.pk for member in gift.members.all()],
            }
        super().__init__(*args, **kw)
        self.household = household
        field = self.fields["members"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = members(household).exclude(pk=writer.pk)

    def present(self) -> Present:
        values = self.cleaned_data
        chosen, who = matched(values, self.household, "members")
        fields = {name: values[name] for name in ("idea", "cost", "given", "note")}
        return Present({**fields, "who": who}, chosen)

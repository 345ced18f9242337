"""What people type of people outside, of the register, and of how the household is helped."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from household.areas.models import Area
from household.areas.queries import areas
from household.kit.forms import Group, PlainForm, choose_from
from household.people.models import Household
from household.requests import servicing
from household.requests.forms import date_field, money_field
from household.requests.models import HelpKind, HelpSettings, Request
from household.requests.outside_models import Appliance, Outsider
from household.requests.queries import people_outside

MOST_USUAL = 12


class OutsiderForm(PlainForm, forms.Form):
    """Somebody outside."""

    name = forms.CharField(
        label="What is the name?",
        max_length=80,
        error_messages={"required": "Type a name, for example “Brandt, heating”."},
    )
    trade = forms.CharField(
        label="What is the trade?", required=False, max_length=60, help_text="Plumber, neighbour …"
    )
    phone = forms.CharField(
        label="Telephone",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    notes = forms.CharField(label="Notes", required=False, max_length=1000, widget=forms.Textarea)


class EstimateForm(PlainForm, forms.Form):
    """What somebody would take."""

    outsider = forms.ModelChoiceField(
        label="From whom?",
        queryset=Outsider.objects.none(),
        required=False,
        empty_label="Somebody who is not on the list",
    )
    who = forms.CharField(
        label="Who?", required=False, max_length=80, help_text="Only if not on the list."
    )
    amount = money_field("How much?", required=True)
    valid_until = date_field("Valid until?")
    note = forms.CharField(label="What is included?", required=False, max_length=200)

    def __init__(self, *args: Any, asked: Request, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, prefix="estimate", **kwargs)
        self.units = {"amount": currency} if currency else {}  # type: ignore[misc]  # its own
        choose_from(self, "outsider", people_outside(asked.household))

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if not values.get("outsider") and not values.get("who"):
            self.add_error("outsider", "Say whose estimate it is: choose or type a name.")
        return values


class OutsideForm(PlainForm, forms.Form):
    """Pass a request outside: to whom, if that is known already."""

    outsider = forms.ModelChoiceField(
        label="Whom outside?",
        queryset=Outsider.objects.none(),
        required=False,
        empty_label="Not known yet",
    )

    def __init__(self, *args: Any, household: Household, **kwargs: Any) -> None:
        super().__init__(*args, prefix="outside", **kwargs)
        choose_from(self, "outsider", people_outside(household))


class ApplianceForm(PlainForm, forms.Form):
    """An appliance or an installation of the home."""

    name = forms.CharField(
        label="What is it?",
        max_length=80,
        error_messages={"required": "Type a name, for example “Tumble dryer”."},
    )
    area = forms.ModelChoiceField(
        label="Where does it stand?",
        queryset=Area.objects.none(),
        required=False,
        empty_label="Nowhere special",
    )
    kind = forms.ChoiceField(
        label="Is it one of these?",
        required=False,
        help_text="For these, upkeep chores can be suggested.",
    )
    model = forms.CharField(label="Make and model", required=False, max_length=80)
    bought_on = date_field("When was it bought?")
    bought_from = forms.CharField(label="Where?", required=False, max_length=80)
    price = money_field("What did it cost?")
    warranty_until = date_field("Warranty until?")
    manual = forms.URLField(
        label="Link to its manual",
        required=False,
        max_length=500,
        assume_scheme="https",
        error_messages={"invalid": "Type a web address that begins with https:// or http://."},
        widget=forms.TextInput(attrs={"inputmode": "url", "autocapitalize": "none"}),
    )
    notes = forms.CharField(label="Notes", required=False, max_length=1000, widget=forms.Textarea)
    short_names: ClassVar[Mapping[str, str]] = {"name": "What it is", "manual": "The manual"}

    def __init__(
        self,
        *args: Any,
        household: Household,
        currency: str,
        appliance: Appliance | None = None,
        **kwargs: Any,
    ) -> None:
        if appliance is not None:
            kwargs["initial"] = {name: getattr(appliance, name) for name in self.base_fields}
        super().__init__(*args, **kwargs)
        self.units = {"price": currency} if currency else {}  # type: ignore[misc]  # its own
        choose_from(self, "area", areas(household))
        kind = self.fields["kind"]
        assert isinstance(kind, forms.ChoiceField)
        kind.choices = [("", "None of them"), *servicing.kinds()]

    def clean_manual(self) -> str:
        address = str(self.cleaned_data["manual"])
        if address and not address.startswith(("http://", "https://")):
            raise forms.ValidationError("Type a web address that begins with https:// or http://.")
        return address


class HelpForm(PlainForm, forms.Form):
    """Numbers to call, what the household pays in, where it lives, and what it usually asks."""

    emergency = forms.CharField(
        label="Emergency number",
        required=False,
        max_length=40,
        help_text="Check it: it stands first wherever somebody may be in danger.",
    )
    gas = forms.CharField(label="Gas emergency number", required=False, max_length=40)
    electricity = forms.CharField(
        label="Electricity emergency number", required=False, max_length=40
    )
    water = forms.CharField(label="Water company", required=False, max_length=40)
    plumber = forms.CharField(label="Plumber", required=False, max_length=40)
    currency = forms.CharField(
        label="What do you pay in?",
        required=False,
        max_length=8,
        help_text="As you write it beside an amount: €, £, kr.",
    )
    address = forms.CharField(
        label="Your address",
        required=False,
        max_length=200,
        help_text="It stands in a message to somebody outside only when you choose so.",
    )
    usual = forms.CharField(
        label="What do you usually ask for?",
        required=False,
        widget=forms.Textarea,
        max_length=1500,
        help_text=f"One a line, {MOST_USUAL} at most, as “lift: To the station”. The kinds are "
        f"{', '.join(HelpKind.values)}.",
    )
    groups = (
        Group(
            "numbers", "Whom do you call?", ("emergency", "gas", "electricity", "water", "plumber")
        ),
        Group("asking", "How do you ask?", ("usual", "currency", "address")),
    )

    def __init__(self, *args: Any, help: HelpSettings, **kwargs: Any) -> None:
        names = ("emergency", "gas", "electricity", "water", "plumber", "currency", "address")
        initial = {name: getattr(help, name) for name in names}
        initial["usual"] = "\n".join(f"{each['kind']}: {each['what']}" for each in help.usual)
        super().__init__(*args, initial=initial, **kwargs)
        for name in names[:5]:
            self.fields[name].widget.attrs["inputmode"] = "tel"

    def clean_usual(self) -> list[dict[str, str]]:
        lines = [line.strip() for line in self.cleaned_data["usual"].splitlines() if line.strip()]
        if len(lines) > MOST_USUAL:
            raise forms.ValidationError(f"Keep {MOST_USUAL} lines or fewer.")
        return [self._one(line) for line in lines]

    def _one(self, line: str) -> dict[str, str]:
        kind, colon, what = line.partition(":")
        known = kind.strip().lower()
        if not colon or known not in HelpKind.values:
            known, what = HelpKind.OTHER.value, line
        return {"kind": known, "what": what.strip()[:120]}

"""The form of the very first page: the code, the household and its first organiser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, ClassVar

from django import forms

from household.calc import regions
from household.kit.forms import Group
from household.people.actions import SignIn
from household.people.forms import checked_password
from household.people.habits import Habits, usual_habits
from household.people.household_form import HouseholdForm, zone_words
from household.people.models import Account, DateOrder, Paper, Units, Weekday
from household.start import code

USUAL_FIELDS = ("time_zone", "language", "first_weekday", "date_order", "units", "paper")


class FirstForm(HouseholdForm):
    """The code, the household and its first organiser. Habits are filled in beforehand."""

    code = forms.CharField(
        label="The code that the hub printed",
        max_length=40,
        help_text="It stands where the hub was started, under its address.",
        widget=forms.TextInput(
            attrs={
                "autocomplete": "one-time-code",
                "autocapitalize": "characters",
                "spellcheck": "false",
            }
        ),
        error_messages={"required": "Type the code, for example K7QM-4T2X."},
    )
    person = forms.CharField(
        label="What is your own name?",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "given-name"}),
        error_messages={"required": "Type your name, for example “Nadia”."},
    )
    username = forms.CharField(
        label="Another name to sign in with",
        max_length=60,
        required=False,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )
    password = forms.CharField(
        label="Which password?",
        strip=False,
        help_text="At least 8 letters or figures, not a common word.",
        # It comes back with the other fields: the page never leaves the hub's own network
        # otherwise than it came, and is never kept by the browser.
        widget=forms.PasswordInput(render_value=True, attrs={"autocomplete": "new-password"}),
        error_messages={"required": "Choose a password."},
    )
    zone = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    filled_for = forms.CharField(required=False, max_length=2, widget=forms.HiddenInput)

    field_order = (
        "code",
        "name",
        "person",
        "username",
        "password",
        "country",
    )
    groups: ClassVar[Sequence[Group]] = (
        Group("usual-fields", "Change what is usual", ("subdivision", *USUAL_FIELDS), folded=True),
    )
    short_names: ClassVar[Mapping[str, str]] = {
        **HouseholdForm.short_names,
        "code": "The code",
        "person": "Your own name",
        "username": "The name to sign in with",
        "password": "The password",
    }
    not_done = "Nothing is set up yet."

    def __init__(self, *args: Any, habits: Habits, zone: str = "", **kwargs: Any) -> None:
        super().__init__(*args, habits=habits, **kwargs)
        self.filled_in = habits
        self.initial.update(zone=zone, filled_for=habits.country)
        self.fields["name"].widget.attrs.update(autocomplete="off")

    @property
    def usual_words(self) -> str:
        """Dublin time, the week from Monday, 31 December 2026, grams and litres, A4."""
        usual = self.filled_in
        said = [
            f"{zone_words(usual.time_zone).rpartition(': ')[2]} time",
            f"the week from {Weekday(usual.first_weekday).label}",
            f"dates as {DateOrder(usual.date_order).label}",
            _inside_a_sentence(str(Units(usual.units).label)),
            f"paper {Paper(usual.paper).label}",
        ]
        return ", ".join(said)

    def clean_code(self) -> str:
        typed = str(self.cleaned_data["code"])
        if not code.fits(typed):
            raise forms.ValidationError(
                "That is not the code. Look where the hub was started, or let "
                "“manage.py setup_code” print a new one there."
            )
        return typed

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        values["username"] = values.get("username") or values.get("person", "")
        if values.get("password"):
            account = Account(username=values["username"])
            checked_password(self, "password", values["password"], account)
        return values

    def habits(self) -> Habits:
        """The habits sent; where the country was changed without script, and a habit was left
        as it was filled in, the new country's own."""
        sent = Habits(**{each.name: self.cleaned_data[each.name] for each in fields(Habits)})
        before = self.cleaned_data["filled_for"]
        if not before or before == sent.country:
            return sent
        was, now = usual_habits("", before), usual_habits("", sent.country)
        left = {
            name: getattr(now, name)
            for name in USUAL_FIELDS
            if str(getattr(sent, name)) == str(getattr(was, name))
        }
        if sent.time_zone in regions.zones(before):
            left["time_zone"] = now.time_zone
        return replace(sent, **left)

    def sign_in(self) -> SignIn:
        return SignIn(self.cleaned_data["username"], self.cleaned_data["password"])

    def only_too_soon(self, sentence: str) -> None:
        """Whether the code was right is not told to who tries too often."""
        self.errors.clear()
        self.add_error("code", sentence)

    def refuse_code_only(self) -> None:
        """For looking around: only the code counts, and the rest is kept as it was typed."""
        for name in [name for name in self.errors if name != "code"]:
            del self.errors[name]


def _inside_a_sentence(label: str) -> str:
    """ "Metric: grams" -> "metric: grams"; "US: ounces" stays."""
    return label if label[1:2].isupper() else f"{label[:1].lower()}{label[1:]}"

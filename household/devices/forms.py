"""What people type about devices."""

from __future__ import annotations

from typing import Any

from django import forms

from household.devices.codes import LENGTH, tidy
from household.kit.errors import HouseholdError
from household.kit.forms import PlainForm


class TypedCodeForm(PlainForm, forms.Form):
    """A code as it stands on an organiser's screen."""

    code = forms.CharField(
        label="The code from the other screen",
        max_length=40,
        help_text="Eight letters and figures. Capitals and the line between do not matter.",
        widget=forms.TextInput(
            attrs={
                "autocomplete": "one-time-code",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "class": "typed",
            }
        ),
        error_messages={"required": "Type the code that stands on the other screen."},
    )
    not_done = "Not signed in yet."
    kept_words = "What you typed is still here."

    def clean_code(self) -> str:
        code = tidy(self.cleaned_data["code"])
        if len(code) != LENGTH:
            raise forms.ValidationError(
                f"A code has eight letters and figures; these are {len(code)}."
            )
        return code

    def refuse(self, error: HouseholdError) -> None:
        self.add_error("code", error.message)


class LabelForm(PlainForm, forms.Form):
    """What a device is called."""

    label = forms.CharField(
        label="What is it called?",
        max_length=60,
        error_messages={"required": "Type a name for it, for example “Oona’s phone”."},
    )


class ScreenForm(LabelForm):
    """A shared screen, before it has its code."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"label": "Kitchen screen"}, **kwargs})

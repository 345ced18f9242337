"""What people type to sign in, about days away, and about their own pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any, ClassVar

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.http import HttpRequest

from household.kit.errors import HouseholdError
from household.kit.forms import Group, PlainForm, SegmentedRadios
from household.people.absences import Days, days_of
from household.people.models import Absence, Account, Member

THEMES = [("", "As the device"), ("light", "Light"), ("dark", "Dark")]


def checked_password(form: forms.BaseForm, field: str, password: str, account: Account) -> None:
    """Put the validators' sentences at the field, all of them at once."""
    try:
        validate_password(password, account)
    except forms.ValidationError as error:
        form.add_error(field, forms.ValidationError(" ".join(error.messages)))


class SignInForm(PlainForm, forms.Form):
    """A name and a password. What is wrong with them is not told apart.

    `guard` is asked with the name before the password is looked at, and may refuse.
    """

    username = forms.CharField(
        label="Your name here",
        max_length=60,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
        ),
        error_messages={"required": "Type the name you sign in with."},
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Type your password."},
    )
    not_done = "Not signed in yet."
    kept_words = "Your name is still here; type the password once more."

    def __init__(
        self, request: HttpRequest, *args: Any, guard: Callable[[str], None], **kwargs: Any
    ) -> None:
        self.request = request
        self.guard = guard
        self.account: Account | None = None
        self.refused: HouseholdError | None = None
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("username") and values.get("password"):
            try:
                self.guard(values["username"])
            except HouseholdError as error:
                self.refused = error
                raise forms.ValidationError(error.message) from None
            found = authenticate(
                self.request, username=values["username"], password=values["password"]
            )
            if not isinstance(found, Account):
                raise forms.ValidationError(
                    "That name and that password do not belong together. "
                    "An organiser can set a new password."
                )
            self.account = found
        return values


class AbsenceForm(PlainForm, forms.Form):
    """Days away, once or every so many weeks."""

    starts = forms.DateField(
        label="First day away",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Choose the first day.",
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
    )
    ends = forms.DateField(
        label="Last day away",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Choose the last day.",
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
    )
    every_weeks = forms.IntegerField(
        label="Again every … weeks",
        required=False,
        min_value=1,
        max_value=52,
        help_text="Leave it empty for once. Away every other week is 2.",
        error_messages={
            "invalid": "Type the weeks as a number, for example 2.",
            "min_value": "Type 1 week or more.",
            "max_value": "Type 52 weeks or fewer.",
        },
    )
    until = forms.DateField(
        label="No more after",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year-month-day, for example 2026-12-31."},
    )
    note = forms.CharField(label="Where or why", max_length=80, required=False)

    units: ClassVar[Mapping[str, str]] = {"every_weeks": "weeks"}

    def __init__(self, *args: Any, absence: Absence | None = None, **kwargs: Any) -> None:
        if absence is not None:
            kwargs.setdefault("initial", asdict(days_of(absence)))
        super().__init__(*args, prefix="away", **kwargs)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        starts, ends, until = (values.get(name) for name in ("starts", "ends", "until"))
        if isinstance(starts, date) and isinstance(ends, date):
            if ends < starts:
                self.add_error("ends", "This day is before the first one. Choose a later day.")
            elif (ends - starts).days > 730:
                self.add_error("ends", "That is more than two years. Choose an earlier day.")
        if isinstance(starts, date) and isinstance(until, date) and until < starts:
            self.add_error("until", "This day is before the first one. Choose a later day.")
        return values

    def days(self) -> Days:
        return Days(**self.cleaned_data)


def sent_again(days: Days) -> dict[str, str]:
    """The names and values with which the form says these days once more."""
    return {f"away-{name}": str(value) for name, value in asdict(days).items() if value is not None}


class ProfileForm(PlainForm, forms.Form):
    """What anybody may set for themselves, children too."""

    theme = forms.ChoiceField(
        label="Light or dark?", choices=THEMES, required=False, widget=SegmentedRadios
    )
    mirrored = forms.BooleanField(label="Ticks under the left thumb", required=False)
    password = forms.CharField(
        label="Your password now",
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new_password = forms.CharField(
        label="A new password",
        required=False,
        strip=False,
        help_text="At least 8 letters or figures, not a common word.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    groups = (
        Group("looks", "", ("theme", "mirrored")),
        Group("signs-in", "Another password?", ("password", "new_password")),
    )

    def __init__(self, *args: Any, member: Member, account: Account, **kwargs: Any) -> None:
        self.account = account
        initial = {"theme": member.theme, "mirrored": member.mirrored}
        super().__init__(*args, initial=initial, **kwargs)

    @property
    def kept_words(self) -> str:  # type: ignore[override]
        return "Type the passwords once more; the rest is still here."

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        new = values.get("new_password", "")
        if not new:
            return values
        if not self.account.check_password(values.get("password", "")):
            self.add_error("password", "That is not the password you sign in with.")
        checked_password(self, "new_password", new, self.account)
        return values

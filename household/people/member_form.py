"""The form of a member: all that an organiser says of somebody."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms

from household.calc.dangers import LICENCES
from household.calc.names import DAYS
from household.kit.forms import Group, PlainForm, SegmentedRadios
from household.people import marks
from household.people.actions import Particulars, SignIn
from household.people.forms import THEMES, checked_password
from household.people.models import (
    Account,
    AgeBand,
    Household,
    Member,
    Role,
    Skill,
    WorkKind,
    default_free_minutes,
)

NO_MATTER = 3
DISLIKES = [
    (NO_MATTER, "No matter"),
    (1, "Likes it"),
    (2, "Rather likes it"),
    (4, "Rather not"),
    (5, "Dislikes it very much"),
]
MINUTES_ERRORS = {
    "required": "Type the minutes, or 0.",
    "invalid": "Type the minutes as a number.",
    "min_value": "Type 0 minutes or more.",
    "max_value": "A day has 1440 minutes.",
}


class MemberForm(PlainForm, forms.Form):
    """All that an organiser says of a member."""

    name = forms.CharField(
        label="What is the name?",
        max_length=40,
        error_messages={"required": "Type a name, for example “Bea”."},
    )
    mark = forms.ChoiceField(
        label="Which mark?",
        help_text="It stands at everything this person does. Free marks come first.",
        error_messages={"invalid_choice": "Choose a mark from the list."},
    )
    role = forms.ChoiceField(
        label="What may this person do here?",
        choices=Role.choices,
        initial=Role.MEMBER,
        widget=forms.RadioSelect,
    )
    age_band = forms.ChoiceField(
        label="How old?",
        choices=AgeBand.choices,
        initial=AgeBand.ADULT,
        help_text="Work that is not safe at this age is never given.",
    )
    weight = forms.IntegerField(
        label="Which share of the work is agreed?",
        min_value=0,
        max_value=1000,
        initial=10,
        help_text="In comparison with the others: 10 and 5 means twice as much and half as much.",
        error_messages={
            "required": "Type a number, for example 10.",
            "invalid": "Type a number, for example 10.",
            "min_value": "Type 0 or more.",
            "max_value": "Type 1000 or less.",
        },
    )
    skills = forms.MultipleChoiceField(
        label="What can this person do?",
        choices=Skill.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    licences = forms.MultipleChoiceField(
        label="What is this person licensed for?",
        choices=list(LICENCES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Work that is for licensed people is given to nobody else.",
    )
    username = forms.CharField(
        label="Name to sign in with",
        max_length=60,
        required=False,
        help_text="No e-mail address is needed. Leave it empty for somebody who does not sign in.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label="Password",
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    theme = forms.ChoiceField(
        label="Light or dark?", choices=THEMES, required=False, widget=SegmentedRadios
    )
    mirrored = forms.BooleanField(label="Ticks under the left thumb", required=False)

    short_names: ClassVar[Mapping[str, str]] = {
        "name": "The name",
        "mark": "The mark",
        "role": "What this person may do",
        "age_band": "The age",
        "weight": "The agreed share",
    }

    def __init__(
        self, *args: Any, household: Household, member: Member | None = None, **kwargs: Any
    ) -> None:
        self.household, self.member = household, member
        self.used = marks.taken(household, besides=member)
        kwargs["initial"] = {**self._initial(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        days = [(household.first_weekday + step) % 7 for step in range(7)]
        for day in days:
            self.fields[f"free_{day}"] = _minutes_field(DAYS[day])
        for kind, label in WorkKind.choices:
            self.fields[f"dislike_{kind}"] = forms.TypedChoiceField(
                label=label,
                choices=DISLIKES,
                coerce=int,
                required=False,
                empty_value=None,
            )
        mark = self.fields["mark"]
        assert isinstance(mark, forms.ChoiceField)
        mark.choices = self._marks()
        self.fields["password"].help_text = self._password_help()
        self.groups = (  # type: ignore[misc]  # the days' order is the household's own
            Group(
                "free",
                "How many minutes are free each day?",
                tuple(f"free_{day}" for day in days),
                row=True,
            ),
            Group("can", "", ("skills",)),
            Group("licensed", "Licensed for anything?", ("licences",), folded=True),
            Group(
                "likes",
                "What does this person like to do, and dislike?",
                tuple(f"dislike_{kind}" for kind in WorkKind.values),
                folded=True,
            ),
            Group("signs-in", "How does this person sign in?", ("username", "password")),
            Group("looks", "How does it look for this person?", ("theme", "mirrored"), folded=True),
        )

    @property
    def kept_words(self) -> str:  # type: ignore[override]
        if self.data.get("password"):
            return "All but the password is still here; type that once more."
        return "All you typed is still here."

    def clean_mark(self) -> marks.Mark:
        mark = marks.BY_KEY[self.cleaned_data["mark"]]
        if mark in self.used:
            raise forms.ValidationError(
                f"The {mark.words.lower()} is {self.used[mark]}’s. Choose another mark."
            )
        return mark

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        username, password = values.get("username", ""), values.get("password", "")
        if values.get("licences") and values.get("age_band") != AgeBand.ADULT:
            self.add_error("licences", "Only grown-ups hold a licence.")
        has_account = self.member is not None and self.member.account is not None
        if password and not username and "username" not in self.errors:
            self.add_error("username", "Type the name that this password belongs to.")
        elif username and not password and not has_account:
            self.add_error("password", "Type a password to go with the name.")
        elif password and "password" not in self.errors:
            checked_password(self, "password", password, Account(username=username))
        return values

    def particulars(self) -> Particulars:
        values = self.cleaned_data
        return Particulars(
            name=values["name"],
            shape=values["mark"].shape.value,
            hue=values["mark"].hue.value,
            role=values["role"],
            age_band=values["age_band"],
            weight=values["weight"],
            free_minutes=[values[f"free_{day}"] for day in range(7)],
            skills=[*values["skills"], *values["licences"]],
            dislikes={
                kind: values[f"dislike_{kind}"]
                for kind in WorkKind.values
                if values[f"dislike_{kind}"] not in (None, NO_MATTER)
            },
            mirrored=values["mirrored"],
            theme=values["theme"],
        )

    def sign_in(self) -> SignIn | None:
        username = self.cleaned_data["username"]
        return SignIn(username, self.cleaned_data["password"]) if username else None

    def _initial(self) -> dict[str, Any]:
        member = self.member
        if member is None:
            free = default_free_minutes()
            first = next(iter(marks.free(self.used)), None)
            values: dict[str, Any] = {"mark": first.key if first else ""}
        else:
            free = member.free_minutes
            names = ("name", "role", "age_band", "weight", "skills", "theme", "mirrored")
            values = {name: getattr(member, name) for name in names}
            values["mark"] = marks.mark_of(member).key
            values["licences"] = [each for each in member.skills if each in LICENCES]
            values["username"] = member.account.username if member.account else ""
            values |= {f"dislike_{kind}": member.dislike_of(kind) for kind in WorkKind.values}
        return values | {f"free_{day}": minutes for day, minutes in enumerate(free)}

    def _marks(self) -> list[tuple[str, Sequence[tuple[str, str]]]]:
        own = [marks.mark_of(self.member)] if self.member and not self._lost_mark() else []
        unused = own + [mark for mark in marks.free(self.used) if mark not in own]
        groups = [
            ("Free", [(mark.key, mark.words) for mark in unused]),
            ("Taken", [(mark.key, f"{mark.words}: {name}") for mark, name in self.used.items()]),
        ]
        return [(label, choices) for label, choices in groups if choices]

    def _lost_mark(self) -> bool:
        return self.member is not None and marks.mark_of(self.member) in self.used

    def _password_help(self) -> str:
        if self.member is not None and self.member.account is not None:
            return "Leave it empty to keep the one there is."
        return "At least 8 letters or figures, not a common word."


def _minutes_field(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=0, max_value=1440, error_messages=dict(MINUTES_ERRORS)
    )

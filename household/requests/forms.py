"""What people type when they ask for help, and when they answer."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, ClassVar

from django import forms
from django.core.files.uploadedfile import UploadedFile

from household.areas.models import Area
from household.areas.queries import areas
from household.calc import dangers
from household.kit.forms import Group, PlainForm, SegmentedRadios, choose_from
from household.people.models import Household, Member
from household.people.queries import members
from household.requests.actions import Outcome
from household.requests.asking import Call
from household.requests.models import HelpKind, Remind, Request, Urgency
from household.requests.outside_models import Appliance, Outsider
from household.requests.queries import people_outside

DATE_ERRORS = {"invalid": "Write the day as year-month-day, for example 2026-12-31."}
MONEY_ERRORS = {
    "invalid": "Type an amount, for example 45.50.",
    "min_value": "Type 0 or more.",
    "max_digits": "That is too long an amount.",
    "max_decimal_places": "Two places after the point are enough.",
    "max_whole_digits": "That is too long an amount.",
}


def date_field(label: str, **options: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        required=options.pop("required", False),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={**DATE_ERRORS, "required": "Choose a day."},
        **options,
    )


def money_field(label: str, **options: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=options.pop("required", False),
        min_value=0,
        max_digits=10,
        decimal_places=2,
        error_messages={**MONEY_ERRORS, "required": "Type an amount, for example 45.50."},
        **options,
    )


class Photos(forms.ClearableFileInput):
    """One or several pictures; a phone offers its camera beside its gallery."""

    allow_multiple_selected = True
    template_name = "django/forms/widgets/file.html"


class PhotosField(forms.FileField):
    """Several files, as they came: what is in them is looked at by photos.keep."""

    widget = Photos

    def clean(self, data: Any, initial: Any = None) -> Sequence[UploadedFile[Any]]:
        files = data if isinstance(data, list | tuple) else [data] if data else []
        return [each for each in files if each]


class AskForm(PlainForm, forms.Form):
    """A call for help: what and where first, all else has a sensible answer already."""

    kind = forms.ChoiceField(
        label="What kind of help?",
        choices=HelpKind.choices,
        initial=HelpKind.REPAIR,
        widget=SegmentedRadios,
    )
    what = forms.CharField(
        label="What do you need?",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off", "enterkeyhint": "next"}),
        error_messages={"required": "A few words will do, for example “The tap drips”."},
    )
    photos = PhotosField(
        label="A photo",
        required=False,
        widget=Photos(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )
    area = forms.ModelChoiceField(
        label="Where?", queryset=Area.objects.none(), required=False, empty_label="Nowhere special"
    )
    urgency = forms.ChoiceField(
        label="How soon?",
        choices=Urgency.choices,
        initial=Urgency.SOON,
        widget=SegmentedRadios,
    )
    to = forms.ModelChoiceField(
        label="Whom do you ask?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Anybody",
    )
    by = date_field("By when?")
    details = forms.CharField(
        label="More about it", required=False, max_length=2000, widget=forms.Textarea
    )
    appliance = forms.ModelChoiceField(
        label="Is it about one of these?",
        queryset=Appliance.objects.none(),
        required=False,
        empty_label="None of them",
    )
    dangers = forms.MultipleChoiceField(
        label="Does it touch any of these?",
        choices=[(danger.value, rule.label) for danger, rule in dangers.RULES.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="These are for licensed people. Say so if you are not sure.",
    )
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    groups = (
        Group(
            "more",
            "More: who, by when, dangers",
            ("to", "by", "details", "appliance", "dangers"),
            folded=True,
        ),
    )
    short_names: ClassVar[Mapping[str, str]] = {
        "what": "What you need",
        "photos": "The photo",
        "to": "Whom you ask",
        "by": "By when",
    }
    not_done = "Not asked yet."

    def __init__(
        self, *args: Any, household: Household, asker: Member | None, **kwargs: Any
    ) -> None:
        kwargs["initial"] = {"key": uuid.uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        people = members(household)
        choose_from(self, "to", people.exclude(pk=asker.pk) if asker else people)
        choose_from(self, "area", areas(household))
        register = Appliance.objects.filter(household=household, archived_at=None)
        choose_from(self, "appliance", register.order_by("name"))
        if not register.exists():
            del self.fields["appliance"]
        if asker is None:
            self.fields["asker"] = forms.ModelChoiceField(
                label="Who asks?",
                queryset=people,
                widget=forms.RadioSelect,
                error_messages={"required": "Touch your mark, so that it is known who asks."},
            )

    @property
    def kept_words(self) -> str:  # type: ignore[override]
        if self.files:
            return "What you typed is still here; choose the photo once more."
        return "All you typed is still here."

    def call(self) -> Call:
        values = self.cleaned_data
        return Call(
            what=values["what"],
            details=values["details"],
            kind=values["kind"],
            area=values["area"],
            appliance=values.get("appliance"),
            urgency=values["urgency"],
            by=values["by"],
            to=values["to"],
            dangers=values["dangers"],
        )


class TakeForm(PlainForm, forms.Form):
    """I'll do it, and when. Every answer is given already, so that one touch is enough."""

    minutes = forms.IntegerField(
        label="How long will it take?",
        min_value=1,
        max_value=600,
        error_messages={
            "required": "Type the minutes, for example 20.",
            "invalid": "Type the minutes as a number, for example 20.",
            "min_value": "Type 1 minute or more.",
            "max_value": "Type 600 minutes or fewer; split longer work.",
        },
    )
    day = date_field("On which day?")
    by = date_field("At the latest?", required=True)
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    units: ClassVar[Mapping[str, str]] = {"minutes": "minutes"}

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid.uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, prefix="take", **kwargs)
        self._today = today

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        for name in ("day", "by"):
            if values.get(name) and values[name] < self._today:
                self.add_error(name, "That day is over. Choose today or a later one.")
        return values


class AgainForm(PlainForm, forms.Form):
    to = forms.ModelChoiceField(
        label="Whom do you ask?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Anybody",
    )

    def __init__(self, *args: Any, asked: Request, **kwargs: Any) -> None:
        super().__init__(*args, prefix="again", **kwargs)
        others = members(asked.household)
        choose_from(self, "to", others.exclude(pk=asked.asker_id or 0))


class DangersForm(PlainForm, forms.Form):
    dangers = forms.MultipleChoiceField(
        label="What is dangerous about it?",
        choices=[(danger.value, rule.label) for danger, rule in dangers.RULES.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, prefix="dangers", **kwargs)


class DoneForm(PlainForm, forms.Form):
    """What it took, for the area's history."""

    done_on = date_field("When was it done?")
    outsider = forms.ModelChoiceField(
        label="Did somebody outside do it?",
        queryset=Outsider.objects.none(),
        required=False,
        empty_label="No, one of us",
    )
    parts = forms.CharField(label="Which parts?", required=False, max_length=200)
    cost = money_field("What did it cost?")
    warranty_until = date_field("Warranty until?")

    def __init__(self, *args: Any, asked: Request, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, prefix="done", **kwargs)
        self.units = {"cost": currency} if currency else {}  # type: ignore[misc]  # its own
        living = people_outside(asked.household)
        choose_from(self, "outsider", living)
        if not living.exists():
            del self.fields["outsider"]

    def outcome(self) -> Outcome:
        return Outcome(**self.cleaned_data)


class RemindForm(PlainForm, forms.Form):
    when = forms.ChoiceField(
        label="When may we remind you of it?", choices=Remind.choices, widget=forms.RadioSelect
    )

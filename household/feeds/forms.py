"""What people choose for a calendar to give out or to take in."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms

from household.areas.models import Area
from household.areas.queries import areas
from household.calc.foreign_calendar import MOST_BYTES
from household.feeds.actions import Wanted
from household.feeds.kinds import KINDS
from household.feeds.receiving import Wish
from household.kit.forms import Group, PlainForm, choose_from
from household.people.models import Member, Role
from household.people.queries import members


class FeedForm(PlainForm, forms.Form):
    """A calendar to give out: what is in it and how it is told."""

    kind = forms.ChoiceField(label="What should be in it?", widget=forms.RadioSelect)
    member = forms.ModelChoiceField(
        label="Whose tasks?", queryset=Member.objects.none(), required=False, empty_label=None
    )
    area = forms.ModelChoiceField(
        label="Which area?", queryset=Area.objects.none(), required=False, empty_label="Choose"
    )
    label = forms.CharField(
        label="Where will you use it?",
        max_length=60,
        help_text="For example “My phone”. It tells one address from another here.",
        error_messages={"required": "Write where you will use it, for example “My phone”."},
    )
    hide_titles = forms.BooleanField(
        label="Hide what the tasks are",
        required=False,
        help_text=(
            "For a calendar that others can see: it says “A task” and no more. "
            "Without it, your own calendar also has the breathers that only you see."
        ),
    )
    include_done = forms.BooleanField(
        label="Keep done tasks in it, marked “Done”", required=False, initial=True
    )
    alarm_at = forms.TimeField(
        label="Remind on the day at",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="Some calendar programs leave out reminders of calendars by address.",
        error_messages={"invalid": "Write the time as hours:minutes, for example 08:00."},
    )
    alarm_minutes = forms.IntegerField(
        label="And before a task with a time",
        required=False,
        min_value=0,
        max_value=1440,
        error_messages={
            "invalid": "Type the minutes as a number, for example 30.",
            "min_value": "Type 0 or more.",
            "max_value": "Type 1440 or fewer: that is a day.",
        },
    )
    key = forms.UUIDField(widget=forms.HiddenInput)

    not_done = "Not made yet."
    units: ClassVar[Mapping[str, str]] = {"alarm_minutes": "minutes"}
    shown_when: ClassVar[Mapping[str, str]] = {"member": "kind=member", "area": "kind=area"}
    groups: ClassVar[Sequence[Group]] = (
        Group(
            "more",
            "Privacy, done tasks, reminders",
            ("hide_titles", "include_done", "alarm_at", "alarm_minutes"),
            folded=True,
        ),
    )

    def __init__(self, *args: Any, owner: Member, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "kind": "member",
            "member": owner.pk,
            "key": uuid.uuid4(),
            **kwargs.get("initial", {}),
        }
        super().__init__(*args, **kwargs)
        self.owner = owner
        choose_from(self, "member", members(owner.household))
        choose_from(self, "area", areas(owner.household))
        kinds = [(kind.key, kind.words) for kind in KINDS.values()]
        if owner.role == Role.CHILD:
            kinds = [(kind.key, "My tasks") for kind in KINDS.values() if kind.for_children]
            for name in ("member", "area"):
                del self.fields[name]
        field = self.fields["kind"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = kinds

    def clean(self) -> dict[str, Any]:
        super().clean()
        values = self.cleaned_data
        needs = KINDS[values["kind"]].needs if "kind" in values else ""
        if needs in self.fields and not values.get(needs) and needs not in self.errors:
            self.add_error(needs, "Choose one." if needs == "area" else "Choose a person.")
        return values

    def wanted(self) -> Wanted:
        values = self.cleaned_data
        return Wanted(
            kind=values["kind"],
            label=values["label"],
            member=values["member"] if "member" in self.fields else self.owner,
            area=values.get("area"),
            hide_titles=values["hide_titles"],
            include_done=values["include_done"],
            alarm_at=values["alarm_at"],
            alarm_minutes=values["alarm_minutes"],
        )


class _TakenIn(PlainForm, forms.Form):
    """What is asked of any calendar to take in."""

    label = forms.CharField(
        label="What is it called?",
        max_length=60,
        help_text="For example “School terms” or “Dev’s work”.",
        error_messages={"required": "Type a name, for example “School terms”."},
    )
    member = forms.ModelChoiceField(
        label="Whose time does it take?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Nobody’s: it is for information",
        help_text="School terms and the bins are nobody’s; a work rota is one person’s.",
    )
    busy_counts = forms.BooleanField(
        label="Its busy times leave less time for tasks", required=False, initial=True
    )
    show_titles = forms.BooleanField(
        label="Show everybody here what its events are called",
        required=False,
        initial=True,
        help_text="Otherwise their names are not kept at all: only when somebody is busy.",
    )
    key = forms.UUIDField(widget=forms.HiddenInput)

    not_done = "Not taken in yet."

    def __init__(self, *args: Any, owner: Member, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid.uuid4(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        # One says of one's own time what takes it; an organiser says it of anybody's.
        everybody = members(owner.household)
        choose_from(self, "member", everybody if owner.organises else everybody.filter(pk=owner.pk))

    def wish(self) -> Wish:
        values = self.cleaned_data
        return Wish(
            label=values["label"],
            member=values["member"],
            busy_counts=values["busy_counts"],
            show_titles=values["show_titles"],
        )


class SubscribeForm(_TakenIn):
    """A calendar by its address."""

    url = forms.CharField(
        label="Its address",
        max_length=2000,
        help_text=(
            "The one that ends in .ics or begins with webcal. Whoever has it may be able to "
            "read the calendar, so it is never shown here again."
        ),
        widget=forms.TextInput(
            attrs={"inputmode": "url", "autocomplete": "off", "spellcheck": "false"}
        ),
        error_messages={
            "required": "Paste the calendar’s address.",
            "max_length": "An address longer than 2,000 characters is not taken.",
        },
    )
    field_order = ("label", "url", "member", "busy_counts", "show_titles", "key")


class ImportForm(_TakenIn):
    """A calendar in a file."""

    file = forms.FileField(
        label="The file",
        help_text="A calendar file, usually ending in .ics, of at most 2 MB.",
        widget=forms.FileInput(attrs={"accept": ".ics,.ical,.ifb,text/calendar"}),
        error_messages={
            "required": "Choose the file.",
            "empty": "That file is empty. Choose another one.",
        },
    )
    kept_words = "All you typed is still here; choose the file again."
    field_order = ("label", "file", "member", "busy_counts", "show_titles", "key")

    def clean_file(self) -> bytes:
        upload = self.cleaned_data["file"]
        if upload.size > MOST_BYTES:
            raise forms.ValidationError(
                "That file is larger than 2 MB, which is more than is taken."
            )
        content: bytes = upload.read()
        return content

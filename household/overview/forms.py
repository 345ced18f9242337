"""What people type or touch on the overview's pages."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date
from typing import Any, ClassVar

from django import forms

from household.areas.models import Area
from household.chores.models import Chore
from household.kit.forms import PlainForm, choose_from
from household.overview.actions import Wish
from household.overview.queries import KINDS, Keeper
from household.people.models import Household, Member
from household.people.queries import members

# A row's number has at most 18 digits: more does not fit the database's whole numbers.
LONGEST_NUMBER = 18


class MoveForm(forms.Form):
    day = forms.DateField(error_messages={"required": "Choose a day.", "invalid": "Choose a day."})


class KeepingForm(PlainForm, forms.Form):
    """All that somebody keeps, or one chore, for somebody to keep from now on."""

    what = forms.ChoiceField(
        label="What?", error_messages={"required": "Choose what to hand over."}
    )
    to = forms.ModelChoiceField(
        label="To whom?",
        queryset=Member.objects.none(),
        empty_label="Choose somebody",
        error_messages={"required": "Choose who keeps it from now on."},
    )
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    short_names: ClassVar[dict[str, str]] = {"what": "What", "to": "To whom"}

    def __init__(
        self, *args: Any, household: Household, keepers: Sequence[Keeper], **kwargs: Any
    ) -> None:
        super().__init__(*args, initial={"key": uuid.uuid4()}, **kwargs)
        self._chores = {str(chore.pk): [chore] for each in keepers for chore in each.chores}
        whole = [each for each in keepers if each.chores]
        self._chores |= {f"all-{_id(each)}": list(each.chores) for each in whole}
        what = self.fields["what"]
        assert isinstance(what, forms.ChoiceField)
        what.choices = [
            ("", "Choose"),
            ("All at once", [(f"all-{_id(each)}", _all_words(each)) for each in whole]),
            *(
                (_kept_words(each), [(str(c.pk), _chore_words(c)) for c in each.chores])
                for each in whole
            ),
        ]
        choose_from(self, "to", members(household))

    def chores(self) -> list[Chore]:
        return self._chores[self.cleaned_data["what"]]


class HistoryForm(PlainForm, forms.Form):
    """The filters of the history, read from the address."""

    member = forms.ModelChoiceField(
        label="Who", queryset=Member.objects.none(), required=False, empty_label="Everybody"
    )
    area = forms.ModelChoiceField(
        label="Area", queryset=Area.objects.none(), required=False, empty_label="Everywhere"
    )
    chore = forms.ModelChoiceField(
        label="Chore", queryset=Chore.objects.none(), required=False, empty_label="All chores"
    )
    did = forms.ChoiceField(
        label="What happened", choices=[("", "Anything"), *KINDS], required=False
    )

    def __init__(self, *args: Any, household: Household, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # What was put away keeps its history, so it stays a choice.
        for name, rows in (
            ("member", Member.objects.filter(household=household).order_by("id")),
            ("area", Area.objects.filter(household=household)),
            ("chore", Chore.objects.filter(household=household).order_by("name", "id")),
        ):
            choose_from(self, name, rows)

    def wanted(self) -> dict[str, Any]:
        """The filters that make sense; a wrong one is as good as none."""
        if not self.is_bound:
            return {}
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


def wishes_of(values: Sequence[str]) -> list[Wish]:
    """The wishes among texts like "12:3:2026-11-27"; what reads otherwise is left out."""
    found = []
    for value in values:
        task, _, rest = value.partition(":")
        member, _, day = rest.partition(":")
        numbers = [*numbers_of(task), *numbers_of(member)]
        try:
            when = date.fromisoformat(day)
        except ValueError:
            continue
        if len(numbers) == 2:
            found.append(Wish(numbers[0], numbers[1], when))
    return found


def numbers_of(text: str) -> list[int]:
    """The row numbers in a text like "12,13"; what no row can have is left out."""
    return [
        int(part)
        for part in text.split(",")
        if part.isascii() and part.isdigit() and len(part) <= LONGEST_NUMBER
    ]


def _id(keeper: Keeper) -> int:
    return keeper.member.pk if keeper.member else 0


def _all_words(keeper: Keeper) -> str:
    count = len(keeper.chores)
    chores = "the one chore" if count == 1 else f"all {count} chores"
    return f"{chores} {keeper.member.name} keeps" if keeper.member else f"{chores} nobody keeps"


def _kept_words(keeper: Keeper) -> str:
    return f"Kept by {keeper.member.name}" if keeper.member else "Kept by nobody"


def _chore_words(chore: Chore) -> str:
    return f"{chore.name} ({chore.area.name})"

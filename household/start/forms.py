"""What people type on the short path: members, areas and chores, several at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from household.kit.forms import PlainForm
from household.people.models import AgeBand, Role
from household.start import starter
from household.start.actions import NewArea, Newcomer, Pick, room_of
from household.start.offers import Offer
from household.start.starter import AreaKind


@dataclass(frozen=True, slots=True)
class PersonRow:
    number: int
    name: BoundField
    age: BoundField
    role: BoundField


class MembersForm(PlainForm, forms.Form):
    """Several members at once; rows without a name are left out."""

    not_done = "Nobody is added yet."

    def __init__(self, *args: Any, rows: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.numbers = range(1, rows + 1)
        for number in self.numbers:
            self.fields[f"name_{number}"] = forms.CharField(
                label="Name",
                max_length=40,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )
            self.fields[f"age_{number}"] = forms.ChoiceField(
                label="Age",
                choices=reversed(AgeBand.choices),
                initial=AgeBand.ADULT,
                required=False,
            )
            self.fields[f"role_{number}"] = forms.ChoiceField(
                label="Role",
                required=False,
                choices=[("", "By age"), *_short(Role.choices)],
            )

    @property
    def rows(self) -> list[PersonRow]:
        return [
            PersonRow(n, self[f"name_{n}"], self[f"age_{n}"], self[f"role_{n}"])
            for n in self.numbers
        ]

    def clean(self) -> dict[str, Any]:
        seen: set[str] = set()
        for number in self.numbers:
            name = self.cleaned_data.get(f"name_{number}", "").casefold()
            if name and name in seen:
                self.add_error(
                    f"name_{number}",
                    "That name stands here twice. Add a letter, for example “Sam B”.",
                )
            seen.add(name)
        return self.cleaned_data

    def newcomers(self) -> list[Newcomer]:
        values = self.cleaned_data
        return [
            Newcomer(values[f"name_{n}"], values[f"age_{n}"] or AgeBand.ADULT, values[f"role_{n}"])
            for n in self.numbers
            if values[f"name_{n}"]
        ]


@dataclass(frozen=True, slots=True)
class KindRow:
    kind: AreaKind
    here: tuple[str, ...]
    on: BoundField
    count: BoundField
    names: BoundField


class AreasForm(PlainForm, forms.Form):
    """Which areas there are: of each common kind whether, how many, and called what."""

    not_done = "No area is added yet."

    def __init__(
        self, *args: Any, here: Mapping[str, Sequence[str]], children: Sequence[str], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.here, self.children = here, children
        for kind in starter.area_kinds().values():
            self._add(kind, here.get(kind.kind, ()))

    def _add(self, kind: AreaKind, there: Sequence[str]) -> None:
        rooms = [room_of(name) for name in self.children] if kind.kind == "child_bedroom" else []
        rooms = [room for room in rooms if room not in there]
        usual = kind.kind in starter.USUAL and not self.here
        first = kind.name if not there else f"{kind.name} {len(there) + 1}"
        self.fields[f"on_{kind.kind}"] = forms.BooleanField(
            label=kind.name, required=False, initial=usual or bool(rooms)
        )
        self.fields[f"count_{kind.kind}"] = forms.TypedChoiceField(
            label=f"{kind.name}: how many",
            choices=[(number, str(number)) for number in range(1, 10)],
            coerce=int,
            required=False,
            initial=max(1, len(rooms)),
        )
        self.fields[f"names_{kind.kind}"] = forms.CharField(
            label=f"{kind.name}: called",
            max_length=300,
            required=False,
            initial=", ".join(rooms) or first,
            widget=forms.TextInput(attrs={"autocomplete": "off"}),
        )

    @property
    def bound_kinds(self) -> list[tuple[str, list[KindRow]]]:
        return [(title, [self._row(kind) for kind in kinds]) for title, kinds in _kinds()]

    def _row(self, kind: AreaKind) -> KindRow:
        key = kind.kind
        return KindRow(
            kind,
            tuple(self.here.get(key, ())),
            self[f"on_{key}"],
            self[f"count_{key}"],
            self[f"names_{key}"],
        )

    def clean(self) -> dict[str, Any]:
        for kind in starter.area_kinds():
            if any(len(name) > 60 for name in _listed(self.cleaned_data.get(f"names_{kind}", ""))):
                self.add_error(f"names_{kind}", "A name has 60 letters at most. Make it shorter.")
        return self.cleaned_data

    def areas(self) -> list[NewArea]:
        values = self.cleaned_data
        return [
            NewArea(name, kind)
            for _, kinds in _kinds()
            for kind in kinds
            if values[f"on_{kind.kind}"]
            for name in area_names(
                kind.name, int(values[f"count_{kind.kind}"] or 1), values[f"names_{kind.kind}"]
            )
        ]


def area_names(usual: str, count: int, typed: str) -> list[str]:
    """As many names as are wanted: those typed, with commas between, then numbered ones.

    "Bedroom", 3, "Big one" -> Big one, Bedroom 2, Bedroom 3.
    """
    names = list(dict.fromkeys(_listed(typed))) or [usual]
    return names + [f"{usual} {number}" for number in range(len(names) + 1, count + 1)]


@dataclass(frozen=True, slots=True)
class OfferRow:
    offer: Offer
    on: BoundField
    name: BoundField
    minutes: BoundField
    who: BoundField

    @property
    def has_errors(self) -> bool:
        return any((self.name.errors, self.minutes.errors, self.who.errors))


class ChoresForm(PlainForm, forms.Form):
    """The chores on offer: which, called what, how long, and who does them."""

    not_done = "No chore is added yet."

    def __init__(self, *args: Any, offers: Sequence[Offer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offers = offers
        for offer in offers:
            self._add(offer)

    def _add(self, offer: Offer) -> None:
        name = offer.common.name
        fields: dict[str, forms.Field] = {
            "on": forms.BooleanField(label=name, required=False, initial=offer.ticked),
            "name": forms.CharField(
                label="Called",
                max_length=80,
                initial=name,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            ),
            "minutes": forms.IntegerField(
                label="Minutes",
                min_value=1,
                max_value=1440,
                initial=offer.common.minutes,
                required=False,
                error_messages={
                    "invalid": "Type the minutes as a number, for example 20.",
                    "min_value": "Type 1 minute or more.",
                    "max_value": "A day has 1440 minutes.",
                },
            ),
            "who": forms.ChoiceField(label="Who does it?", choices=offer.who_choices),
        }
        for field, made in fields.items():
            self.fields[f"{field}_{offer.key}"] = made

    def row(self, offer: Offer) -> OfferRow:
        names = ("on", "name", "minutes", "who")
        return OfferRow(offer, *(self[f"{name}_{offer.key}"] for name in names))

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        for offer in self.offers:
            if not values.get(f"on_{offer.key}"):
                continue
            if not values.get(f"name_{offer.key}") and f"name_{offer.key}" not in self.errors:
                self.add_error(f"name_{offer.key}", "Write what is to be done.")
            if values.get(f"minutes_{offer.key}") is None:
                self._missing_minutes(offer)
        return values

    def _missing_minutes(self, offer: Offer) -> None:
        if f"minutes_{offer.key}" not in self.errors:
            self.add_error(f"minutes_{offer.key}", "Type the minutes, for example 20.")

    def picks(self) -> list[Pick]:
        values = self.cleaned_data
        return [
            Pick(
                offer,
                values[f"name_{offer.key}"],
                values[f"minutes_{offer.key}"],
                values[f"who_{offer.key}"],
            )
            for offer in self.offers
            if values[f"on_{offer.key}"]
        ]


def _kinds() -> list[tuple[str, list[AreaKind]]]:
    return starter.grouped_kinds()


def _listed(typed: str) -> list[str]:
    return [name.strip() for name in typed.split(",") if name.strip()]


def _short(choices: Iterable[tuple[str, Any]]) -> list[tuple[str, str]]:
    """ "Child: own list, ticks ..." -> "Child"."""
    return [(value, str(label).partition(":")[0]) for value, label in choices]

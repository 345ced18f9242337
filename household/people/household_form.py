"""The form of a household's habits."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, ClassVar
from zoneinfo import available_timezones

from django import forms
from django.conf import settings

from household.calc import holidays, regions
from household.kit.forms import PlainForm, SegmentedRadios
from household.people.habits import Habits, usual_habits
from household.people.models import DateOrder, Household, Paper, Units, Weekday

ELSEWHERE = "Everywhere else"


@cache
def _zones() -> tuple[str, ...]:
    """Every place of the zone table, without old names and technical ones."""
    return tuple(sorted(zone for zone in available_timezones() if "/" in zone[1:] or zone == "UTC"))


class HouseholdForm(PlainForm, forms.Form):
    """Name, country, clock, calendar, measures and paper. Choices hang on the country."""

    name = forms.CharField(
        label="What is the household called?",
        max_length=80,
        error_messages={"required": "Type a name, for example “Larch Cottage”."},
    )
    country = forms.ChoiceField(label="In which country?", help_text="Public holidays follow it.")
    subdivision = forms.ChoiceField(
        label="In which part of it?",
        required=False,
        help_text="Some parts have public holidays of their own.",
        error_messages={"invalid_choice": "That is not a part of this country. Choose again."},
    )
    time_zone = forms.ChoiceField(
        label="In which time zone?",
        error_messages={"invalid_choice": "Choose a time zone from the list."},
    )
    language = forms.ChoiceField(
        label="Which language?", choices=settings.LANGUAGES, widget=forms.RadioSelect
    )
    first_weekday = forms.TypedChoiceField(
        label="Which day does the week begin on?", choices=Weekday.choices, coerce=int
    )
    date_order = forms.ChoiceField(
        label="How are dates written?", choices=DateOrder.choices, widget=forms.RadioSelect
    )
    # Django takes fields out of the class, so PlainForm's own `units` is not covered.
    units = forms.ChoiceField(  # type: ignore[assignment]
        label="Which units?", choices=Units.choices, widget=forms.RadioSelect
    )
    paper = forms.ChoiceField(label="Which paper?", choices=Paper.choices, widget=SegmentedRadios)

    short_names: ClassVar[Mapping[str, str]] = {
        "name": "The name",
        "country": "The country",
        "subdivision": "The part of the country",
        "time_zone": "The time zone",
    }

    def __init__(self, *args: Any, habits: Habits, **kwargs: Any) -> None:
        super().__init__(*args, initial=habits.as_fields(), **kwargs)
        country = str(self.data.get("country") or habits.country).strip().upper()[:2]
        self.country_name = regions.region(country).name
        self._choose("country", regions.countries())
        parts = list(holidays.part_names(country).items())
        self._choose("subdivision", [("", "The whole country"), *parts])
        near = regions.zones(country)
        others = [zone for zone in _zones() if zone not in near]
        if habits.time_zone not in (*near, *others):
            near = [*near, habits.time_zone]
        self._choose(
            "time_zone",
            [
                (self.country_name, [(zone, zone_words(zone)) for zone in near]),
                (ELSEWHERE, [(zone, zone_words(zone)) for zone in others]),
            ],
        )
        if not parts:
            # Nothing to choose: an old part, of the country before, is not sent along.
            self.fields["subdivision"].widget = forms.HiddenInput()
            self.initial["subdivision"] = ""
        self._forget_old_part(habits, [code for code, _ in parts])

    def habits(self) -> Habits:
        return Habits(**self.cleaned_data)

    def filled_with_usual(self) -> HouseholdForm:
        """The same form, unsaved, with what is usual in the country it names."""
        name = str(self.data.get("name", ""))[:80]
        return HouseholdForm(habits=usual_habits(name, str(self.data.get("country", ""))))

    def _forget_old_part(self, habits: Habits, parts: list[str]) -> None:
        """A part of the country before means nothing in the one chosen now."""
        moved = self.is_bound and self.data.get("country") != habits.country
        if moved and self.data.get("subdivision") not in ("", None, *parts):
            # A QueryDict's own values are lists: take the last of each, as a form does.
            single = {name: self.data.get(name) for name in self.data}
            self.data = {**single, "subdivision": ""}

    def _choose(self, name: str, choices: Any) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices


def zone_words(zone: str) -> str:
    """America/Argentina/Buenos_Aires -> America: Argentina, Buenos Aires."""
    continent, _, place = zone.partition("/")
    if not place:
        return zone
    return f"{continent}: {place.replace('/', ', ').replace('_', ' ')}"


def habits_of(household: Household) -> Habits:
    names = Habits.__dataclass_fields__
    return Habits(**{name: getattr(household, name) for name in names})

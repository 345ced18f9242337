"""What people type about areas."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from household.areas.actions import Description
from household.areas.floor import from_square_metres, to_square_metres, unit_words
from household.areas.models import Area
from household.areas.queries import areas
from household.kit.forms import Group, PlainForm, choose_from
from household.people.models import Household, Member
from household.people.queries import members

LEVELS = {"tidy_days": "Tidy", "clean_days": "Clean", "deep_days": "Deep clean"}


def _days_field(label: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=f"{label} at least every",
        required=False,
        min_value=1,
        max_value=3660,
        error_messages={
            "invalid": "Type the days as a number, for example 7.",
            "min_value": "Type 1 day or more.",
            "max_value": "Type 3660 days or fewer: that is ten years.",
        },
    )


class AreaForm(PlainForm, forms.Form):
    """A part of the home: whose it is, how often it wants doing, how large it is."""

    name = forms.CharField(
        label="What is it called?",
        max_length=60,
        error_messages={"required": "Type a name, for example “Kitchen”."},
    )
    owner = forms.ModelChoiceField(
        label="Who owns it?",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Nobody: it is everybody’s",
        help_text="Chores of an area may go to its owner.",
    )
    tidy_days = _days_field("Tidy")
    clean_days = _days_field("Clean")
    deep_days = _days_field("Deep clean")
    floor_area = forms.DecimalField(
        label="How large is the floor?",
        required=False,
        min_value=0,
        max_value=99999,
        max_digits=6,
        decimal_places=1,
        error_messages={
            "invalid": "Type a number, for example 12.5.",
            "min_value": "Type 0 or more.",
            "max_value": "Type 99999 or less.",
            "max_digits": "Type a smaller number, for example 12.5.",
            "max_decimal_places": "One figure after the point is enough.",
        },
    )

    units: ClassVar[dict[str, str]] = dict.fromkeys(LEVELS, "days")
    short_names: ClassVar[Mapping[str, str]] = {
        **LEVELS,
        "name": "The name",
        "floor_area": "The floor",
    }
    groups = (
        Group("rhythm", "How often does it want doing?", tuple(LEVELS)),
        Group("size", "", ("floor_area",)),
    )

    def __init__(
        self, *args: Any, household: Household, area: Area | None = None, **kwargs: Any
    ) -> None:
        self.household, self.area = household, area
        super().__init__(*args, initial=self._initial(), **kwargs)
        self.units = {**self.units, "floor_area": unit_words(household)}  # type: ignore[misc]
        choose_from(self, "owner", members(household))

    def description(self) -> Description:
        """What was typed. A floor shown rounded and left as it was stays as exact as it was."""
        values = dict(self.cleaned_data)
        floor = values.pop("floor_area")
        if self.area is not None and floor == self.initial.get("floor_area"):
            square_metres = self.area.floor_area_m2
        else:
            square_metres = None if floor is None else to_square_metres(floor, self.household)
        return Description(**values, floor_area_m2=square_metres)

    def _initial(self) -> dict[str, Any]:
        area = self.area
        if area is None:
            return {}
        values = {name: getattr(area, name) for name in ("name", "owner", *LEVELS)}
        if area.floor_area_m2 is not None:
            values["floor_area"] = from_square_metres(area.floor_area_m2, self.household)
        return values


class SpotlightForm(PlainForm, forms.Form):
    """The area that gets extra attention this month."""

    area = forms.ModelChoiceField(
        label="Which area this month?",
        queryset=Area.objects.none(),
        required=False,
        empty_label="None this month",
        error_messages={"invalid_choice": "That area is not there any more. Choose another one."},
    )

    def __init__(self, *args: Any, household: Household, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "area", areas(household))

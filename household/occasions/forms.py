"""What people type of an occasion, its lead jobs and gifts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms

from household.calc.names import DAYS, MONTHS
from household.calc.occasions import Sort, is_date
from household.kit.forms import Group, PlainForm
from household.occasions.actions import Wanted
from household.occasions.models import (
    NTHS,
    OFFS,
    SIDES,
    SORTS,
    Occasion,
    OccasionKind,
)
from household.occasions.wording import called
from household.people.models import Household, Member
from household.people.queries import members

FIRST_YEAR, LAST_YEAR = 1800, 2200
MONTH_CHOICES = [(number, name) for number, name in enumerate(MONTHS, start=1)]
DAY_CHOICES = list(enumerate(DAYS))


if TYPE_CHECKING:
    _Many = forms.ModelMultipleChoiceField[Member]
else:
    _Many = forms.ModelMultipleChoiceField


class People(_Many):
    """Members, as boxes."""

    def __init__(self, label: str, **options: Any) -> None:
        super().__init__(
            label=label,
            queryset=Member.objects.none(),
            required=False,
            widget=forms.CheckboxSelectMultiple,
            **options,
        )


def whole(label: str, least: int, most: int, **options: Any) -> forms.IntegerField:
    told = f"Type a whole number from {least} to {most}."
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value", "required"), told),
        **options,
    )


def number_choice(label: str, choices: Any, **options: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(label=label, choices=choices, coerce=int, **options)


def year_field(label: str, **options: Any) -> forms.IntegerField:
    return whole(label, FIRST_YEAR, LAST_YEAR, required=False, **options)


def matched(
    values: dict[str, Any], household: Household, many: str = "concerns"
) -> tuple[list[Member], str]:
    """The members ticked and the name typed; a typed name that is a member's ticks the member."""
    chosen = list(values.get(many) or ())
    who = " ".join(str(values.get("who") or "").split())
    for member in members(household):
        if who and who.casefold() == member.name.casefold():
            return list(dict.fromkeys([*chosen, member])), ""
    return chosen, who


class OccasionForm(PlainForm, forms.Form):
    """An occasion: kind, person and date first; all else has a sensible answer already."""

    kind = forms.ChoiceField(label="What is it?", choices=OccasionKind.choices)
    concerns = People("Whom does it concern?")
    who = forms.CharField(
        label="Or somebody else",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    name = forms.CharField(
        label="What is it called?",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Left empty, a birthday is called after whose it is.",
    )
    sort = forms.ChoiceField(label="How does it come round?", choices=SORTS)
    day = whole("Which day?", 1, 31, required=False)
    month = number_choice("Month", MONTH_CHOICES, required=False)
    nth = number_choice("Which weekday?", NTHS, required=False)
    weekday = number_choice("Weekday", DAY_CHOICES, required=False)
    in_month = number_choice("Of which month?", MONTH_CHOICES, required=False)
    near = number_choice("Which weekday next to it?", DAY_CHOICES, required=False)
    side = forms.ChoiceField(label="Side", choices=SIDES, required=False)
    offset = whole(
        "Days after Easter Sunday",
        -150,
        300,
        required=False,
        help_text="0 is Easter Sunday, −2 Good Friday, 39 Ascension, 49 Pentecost.",
    )
    year = year_field(
        "Which year?", help_text="The year it began gives the age. Needed if it comes only once."
    )
    orthodox = forms.BooleanField(label="The Easter of the Orthodox churches", required=False)
    off = forms.ChoiceField(
        label="And if it falls on a weekend?",
        choices=OFFS,
        required=False,
        help_text="For days that are kept on another day then.",
    )
    lasts = whole("How long does it last?", 1, 60, required=False)
    notes = forms.CharField(
        label="Notes",
        required=False,
        max_length=2000,
        widget=forms.Textarea,
        help_text="Everybody at home can read them. Gift ideas have a place of their own.",
    )
    key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    groups = (
        Group("more", "More: weekends, several days, notes", ("off", "lasts", "notes"), True),
    )
    units: ClassVar[Mapping[str, str]] = {"lasts": "days"}
    pairs: ClassVar[Mapping[str, str]] = {"day": "month", "nth": "weekday", "near": "side"}
    shown_when: ClassVar[Mapping[str, str]] = {
        "day": "sort=yearly,once,near",
        "nth": "sort=nth",
        "in_month": "sort=nth",
        "near": "sort=near",
        "offset": "sort=easter",
        "orthodox": "sort=easter",
    }

    def __init__(
        self, *args: Any, household: Household, occasion: Occasion | None = None, **kwargs: Any
    ) -> None:
        started = {"lasts": 1, "kind": OccasionKind.BIRTHDAY, "sort": Sort.YEARLY}
        kwargs["initial"] = {
            **(_initial(occasion) if occasion else started),
            **(kwargs.get("initial") or {}),
        }
        super().__init__(*args, **kwargs)
        self.household = household
        field = self.fields["concerns"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = members(household)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        concerns, who = matched(values, self.household)
        values |= {"concerns": concerns, "who": who, "off": values.get("off") or "keep"}
        if not values.get("name") and values.get("kind"):
            values["name"] = called(values["kind"], concerns, who)
            if not values["name"]:
                self.add_error("name", "Say what it is called, or whom it concerns.")
        self._check_day(values)
        return values

    def _check_day(self, values: dict[str, Any]) -> None:
        sort, year = values.get("sort"), values.get("year")
        if sort == Sort.ONCE and year is None and "year" not in self.errors:
            self.add_error("year", "Type the year in which it is.")
        if sort not in (Sort.YEARLY, Sort.ONCE, Sort.NEAR) or "day" in self.errors:
            return
        day, month = values.get("day"), values.get("month") or 1
        if not day:
            self.add_error("day", "Type the day of the month.")
        elif not is_date(month, day, year if sort != Sort.NEAR else None):
            of_year = f" {year}" if year and is_date(month, day) else ""
            self.add_error("day", f"There is no {day} {MONTHS[month - 1]}{of_year}.")

    def wanted(self) -> Wanted:
        """What to keep; fields that the chosen rule does not use go back to their defaults."""
        values = self.cleaned_data
        sort = values["sort"]
        dated = sort in (Sort.YEARLY, Sort.ONCE, Sort.NEAR)
        month = values["month"] if dated else values["in_month"] if sort == Sort.NTH else 1
        weekday = {Sort.NTH: values["weekday"], Sort.NEAR: values["near"]}.get(sort)
        fields = {name: values[name] for name in ("name", "kind", "sort", "year", "who", "notes")}
        fields |= {
            "month": month or 1,
            "day": (values["day"] or 1) if dated else 1,
            "nth": values["nth"] or 1,
            "weekday": 6 if weekday in (None, "") else weekday,
            "side": values["side"] or "before",
            "offset": values["offset"] or 0,
            "orthodox": values["orthodox"],
            "off": values["off"],
            "lasts": values["lasts"] or 1,
        }
        return Wanted(fields, values["concerns"])


def _initial(occasion: Occasion) -> dict[str, Any]:
    dates = ("sort", "day", "month", "nth", "weekday", "side", "offset", "year", "orthodox", "off")
    same = ("kind", "who", "name", *dates, "lasts", "notes")
    return {
        **{name: getattr(occasion, name) for name in same},
        "in_month": occasion.month,
        "near": occasion.weekday,
        "concerns": [member.pk for member in occasion.concerns.all()],
    }

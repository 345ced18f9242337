"""What people type about a chore."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, ClassVar

from django import forms

from household.areas.models import Area
from household.areas.queries import areas
from household.calc import limits
from household.chores.eligibility import eligible, refusal
from household.chores.models import Chore, Who
from household.chores.rhythm_form import RhythmFields, rhythm_initial
from household.kit.forms import Group, PlainForm, SegmentedRadios, choose_from
from household.people.models import Household, Member
from household.people.queries import members

HAZARD_WORDS = [(hazard.value, rule.noun.capitalize()) for hazard, rule in limits.HAZARDS.items()]


class ChoreForm(RhythmFields, PlainForm, forms.ModelForm):  # type: ignore[type-arg]
    """A standing job: what, where, how long, who, and its rhythm."""

    may = forms.ModelMultipleChoiceField(
        label="Who may do it?",
        queryset=Member.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Nobody chosen means everybody whom the limits below allow.",
    )
    hazards = forms.MultipleChoiceField(
        label="What could hurt somebody?",
        choices=HAZARD_WORDS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Each brings its caution and its lowest age.",
    )

    class Meta:
        model = Chore
        fields = (
            "name",
            "area",
            "level",
            "minutes",
            "keeper",
            "who",
            "fixed",
            "may",
            "min_age",
            "needs_skill",
            "hazards",
            "caution",
            "how_to",
            "kind",
            "treatment",
            "importance",
            "keep_minutes",
        )
        labels: ClassVar[dict[str, str]] = {
            "name": "What is to be done?",
            "area": "Where?",
            "level": "How thorough?",
            "minutes": "How long does it take?",
            "keeper": "Who keeps it in mind?",
            "who": "Who does it?",
            "fixed": "Always whom?",
            "min_age": "From which age?",
            "needs_skill": "Does it need a skill?",
            "caution": "A caution of your own",
            "how_to": "How is it done?",
            "kind": "What kind of work is it?",
            "treatment": "Is it sanitised or disinfected too?",
            "importance": "How much does it matter?",
            "keep_minutes": "How much keeping does one time ask?",
        }
        help_texts: ClassVar[dict[str, str]] = {
            "keeper": "Keeping is noticing, deciding and checking; doing may be somebody else’s.",
            "treatment": "At home mostly needed when somebody is or was ill. Always clean first.",
            "importance": "When a week is too full, what matters least waits first.",
        }
        widgets: ClassVar[dict[str, Any]] = {
            "level": SegmentedRadios,
            "who": forms.RadioSelect,
            "treatment": SegmentedRadios,
        }

    units: ClassVar[Mapping[str, str]] = {
        "minutes": "minutes",
        "keep_minutes": "minutes",
        **RhythmFields.units,
    }
    short_names: ClassVar[Mapping[str, str]] = {
        "name": "What is to be done",
        "area": "Where",
        "minutes": "How long it takes",
        "fixed": "Always whom",
        **RhythmFields.short_names,
    }
    pairs = RhythmFields.pairs
    shown_when: ClassVar[Mapping[str, str]] = {"fixed": "who=fixed", **RhythmFields.shown_when}
    groups: ClassVar[Sequence[Group]] = (
        Group("who", "Who does it?", ("who", "fixed", "may")),
        Group(
            "more",
            "Limits, cautions, how it is done",
            (
                "min_age",
                "needs_skill",
                "hazards",
                "caution",
                "how_to",
                "kind",
                "treatment",
                "importance",
                "keep_minutes",
            ),
            folded=True,
        ),
        RhythmFields.rhythm_group,
        RhythmFields.seldom_group,
    )

    def __init__(self, *args: Any, household: Household, today: date, **kwargs: Any) -> None:
        self.household = household
        instance: Chore | None = kwargs.get("instance")
        initial = rhythm_initial(instance, today, household.first_weekday)
        initial.update(kwargs.pop("initial", None) or {})
        super().__init__(*args, initial=initial, **kwargs)
        self.week_start = household.first_weekday
        people = members(household)
        choose_from(self, "keeper", people, empty="Nobody yet")
        choose_from(self, "fixed", people, empty="Choose")
        choose_from(self, "may", people)
        choose_from(self, "area", areas(household), empty="Choose")
        self.fields["minutes"].error_messages.update(
            required="Type the minutes, for example 20.",
            invalid="Type the minutes as a number, for example 20.",
        )
        self.fields["name"].error_messages["required"] = (
            "Write what is to be done, for example “Wipe the cupboards”."
        )
        self.fields["area"].error_messages["required"] = "Choose an area."
        self._without_blank("level", "who", "treatment")

    def _without_blank(self, *names: str) -> None:
        for name in names:
            field: Any = self.fields[name]
            field.choices = [choice for choice in field.choices if choice[0] != ""]

    def clean_may(self) -> list[int]:
        chosen = [member.pk for member in self.cleaned_data["may"]]
        before = [pk for pk in (self.instance.may or []) if pk in chosen]
        return before + [pk for pk in chosen if pk not in before]

    def clean(self) -> dict[str, Any]:
        super().clean()
        values = self.cleaned_data
        if values.get("who") == Who.FIXED and not values.get("fixed"):
            self.add_error("fixed", "Choose who always does it, or another way to share it.")
        self.clean_rhythm()
        self._check_limits()
        return values

    def _check_limits(self) -> None:
        """Say at once when nobody, or not the chosen person, may do it."""
        values = self.cleaned_data
        needed = ("min_age", "hazards", "needs_skill", "may", "who")
        if any(name not in values for name in needed):
            return
        trial = Chore(
            name=values.get("name", ""),
            may=values["may"],
            min_age=values["min_age"],
            hazards=values["hazards"],
            needs_skill=values["needs_skill"],
        )
        fixed = values.get("fixed")
        if values["who"] == Who.FIXED and fixed:
            words = refusal(trial, fixed)
            if words:
                self.add_error("fixed", words)
        elif not eligible(trial, members(self.household)):
            self.add_error(
                "may",
                "Nobody of those may do it, because of its age, hazard or skill. "
                "Choose more people, or change the limits.",
            )

    def values(self) -> dict[str, Any]:
        """The fields of the chore, by column name, as the actions take them."""
        values = self.cleaned_data
        plain = (
            "name",
            "level",
            "minutes",
            "may",
            "who",
            "min_age",
            "needs_skill",
            "hazards",
            "caution",
            "how_to",
            "kind",
            "treatment",
            "importance",
            "keep_minutes",
        )
        fixed = values["fixed"] if values["who"] == Who.FIXED else None
        return {
            **{name: values[name] for name in plain},
            "area_id": values["area"].pk,
            "keeper_id": values["keeper"].pk if values["keeper"] else None,
            "fixed_id": fixed.pk if fixed else None,
            **self.rhythm_values(),
        }


class FilterForm(PlainForm, forms.Form):
    """Which chores to show; read from the address."""

    search = forms.CharField(label="Search", required=False, max_length=60)
    area = forms.ModelChoiceField(
        label="Area", queryset=Area.objects.none(), required=False, empty_label="Every area"
    )
    person = forms.ModelChoiceField(
        label="Done or kept by",
        queryset=Member.objects.none(),
        required=False,
        empty_label="Anyone",
    )
    show = forms.ChoiceField(
        label="Show",
        required=False,
        choices=[("", "In use"), ("archived", "Put away")],
    )

    def __init__(self, *args: Any, household: Household, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "area", areas(household))
        choose_from(self, "person", members(household))

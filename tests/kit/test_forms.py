"""Forms say what is missing, where it is, and keep what was typed."""

from typing import ClassVar

from django import forms

from household.kit.errors import Refused
from household.kit.forms import DayBoxes, Group, PlainForm, SegmentedRadios


class Sample(PlainForm, forms.Form):
    name = forms.CharField(label="What is to be done?")
    minutes = forms.IntegerField(
        label="How long does it take?",
        error_messages={"required": "Type the minutes, for example 20."},
    )
    level = forms.ChoiceField(choices=[("tidy", "Tidy")], widget=SegmentedRadios)
    every = forms.IntegerField(label="Every")
    unit = forms.ChoiceField(choices=[("days", "days")])
    days = forms.MultipleChoiceField(choices=[("0", "Monday")], widget=DayBoxes, required=False)

    short_names: ClassVar[dict[str, str]] = {"minutes": "How long it takes"}
    units: ClassVar[dict[str, str]] = {"minutes": "minutes"}
    pairs: ClassVar[dict[str, str]] = {"every": "unit"}
    shown_when: ClassVar[dict[str, str]] = {"days": "unit=weeks"}
    groups: ClassVar[tuple[Group, ...]] = (
        Group("repeat", "How does it repeat?", ("every", "unit", "days"), folded=True),
    )


RIGHT = {"name": "Wipe", "minutes": "20", "level": "tidy", "every": "2", "unit": "days"}


def test_a_right_form_has_no_headline() -> None:
    form = Sample(RIGHT)
    assert form.is_valid()
    assert form.headline == ""
    assert form.error_links == []


def test_one_missing_thing_is_named_and_linked() -> None:
    form = Sample({**RIGHT, "minutes": ""})
    assert form.headline == "Not saved yet. One thing is missing."
    (link,) = form.error_links
    assert (link.href, link.words) == ("#id_minutes", "How long it takes")
    assert link.sentence == "Type the minutes, for example 20."


def test_wrong_is_told_apart_from_missing() -> None:
    form = Sample({**RIGHT, "minutes": "soon", "name": ""})
    assert form.headline == "Not saved yet. Two things need another look."


def test_a_refusal_lands_at_its_field_or_on_the_whole_form() -> None:
    form = Sample(RIGHT)
    assert form.is_valid()
    form.refuse(Refused("Ilo is too young.", field="level"))
    form.refuse(Refused("Somebody was quicker.", field="elsewhere"))
    assert form.errors["level"] == ["Ilo is too young."]
    assert form.non_field_errors() == ["Somebody was quicker."]
    assert [link.href for link in form.error_links] == ["#id_level"]


def test_a_folded_group_opens_where_something_is_wrong() -> None:
    assert not Sample(RIGHT).bound_groups[0].open
    assert Sample({**RIGHT, "every": ""}).bound_groups[0].open


def test_a_paired_field_is_drawn_once_beside_its_partner() -> None:
    form = Sample()
    assert [field.name for field in form] == ["name", "minutes", "level", "every", "days"]
    assert form["every"].pair.name == "unit"
    assert [field.name for field in form.bound_groups[0].fields] == ["every", "days"]
    assert [field.name for field in form.loose_fields] == ["name", "minutes", "level"]


def test_numbers_get_number_keys_without_a_spinner() -> None:
    drawn = str(Sample()["minutes"])
    assert 'type="text"' in drawn
    assert 'inputmode="numeric"' in drawn


def test_fields_know_how_they_are_drawn() -> None:
    kinds = {field.name: field.kind for field in Sample()}
    assert kinds == {
        "name": "text",
        "minutes": "number",
        "level": "segments",
        "every": "number",
        "days": "days",
    }


def test_a_day_is_short_to_read_and_whole_to_hear() -> None:
    drawn = str(Sample()["days"])
    assert 'aria-label="Monday"' in drawn
    assert "Mo" in drawn

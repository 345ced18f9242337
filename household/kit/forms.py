"""Forms that speak plainly: what is missing in one sentence, and where to find it.

`PlainForm` goes before `forms.Form` or `forms.ModelForm`. The class attributes say what the
templates need to draw each field; the fields themselves stay ordinary Django fields.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms
from django.db.models import QuerySet
from django.forms import BoundField
from django.forms.utils import ErrorDict

from household.kit.errors import HouseholdError
from household.kit.words import count_word


@dataclass(frozen=True)
class ErrorLink:
    """One thing to mend: where it is (`href`), its short name, and what to do."""

    href: str
    words: str
    sentence: str


@dataclass(frozen=True)
class Group:
    """Some fields under one question. A `folded` group opens by itself if it holds an error.

    The fields of a `row` stand side by side, as seven figures for the days of a week do.
    """

    key: str
    title: str
    fields: tuple[str, ...]
    folded: bool = False
    row: bool = False


@dataclass(frozen=True)
class BoundGroup:
    key: str
    title: str
    fields: tuple[BoundField, ...]
    folded: bool
    open: bool
    row: bool = False


class SegmentedRadios(forms.RadioSelect):
    """Two to four choices side by side; more stand in a list (see `is_wide`)."""


class DayBoxes(forms.CheckboxSelectMultiple):
    """The days of the week in one strip, with two-letter labels and their full names."""

    def create_option(
        self,
        name: str,
        value: Any,
        label: int | str,
        selected: bool,
        index: int,
        subindex: int | None = None,
        attrs: dict[str, Any] | None = None,
    ) -> dict[str, Any]:
        option = super().create_option(name, value, label, selected, index, subindex, attrs)
        option["attrs"]["aria-label"] = str(label)
        option["label"] = str(label)[:2]
        return option


if TYPE_CHECKING:
    _Base = forms.BaseForm
else:
    _Base = object


class PlainForm(_Base):
    """Adds the sentences, groups and data-* attributes that `parts/_field.html` draws.

    short_names  field -> its name in the error summary ("How long it takes"); else the label
    units        field -> the unit said after a number ("minutes")
    pairs        field -> a second field drawn on the same line (every -> unit)
    shown_when   field -> "other=value,value" ("&" joins several): shown only then, by script;
                 without script the field is always there
    groups       the layout; fields that no group names come first, in the form's order
    not_done     what has not happened when there are errors
    kept_words   what is still there then
    """

    short_names: ClassVar[Mapping[str, str]] = {}
    units: ClassVar[Mapping[str, str]] = {}
    pairs: ClassVar[Mapping[str, str]] = {}
    shown_when: ClassVar[Mapping[str, str]] = {}
    groups: ClassVar[Sequence[Group]] = ()
    not_done: ClassVar[str] = "Not saved yet."
    kept_words: str = "All you typed is still here."

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            plain(field)

    def __getitem__(self, name: str) -> BoundField:
        field = super().__getitem__(name)
        field.unit = self.units.get(name, "")  # type: ignore[attr-defined]
        field.shown_when = self.shown_when.get(name, "")  # type: ignore[attr-defined]
        field.kind = kind_of(field.field.widget)  # type: ignore[attr-defined]
        field.pair = (  # type: ignore[attr-defined]
            self[self.pairs[name]] if name in self.pairs else None
        )
        return field

    def __iter__(self) -> Iterator[BoundField]:
        """Every field but those drawn beside another one."""
        paired = set(self.pairs.values())
        return iter([self[name] for name in self.fields if name not in paired])

    def refuse(self, error: HouseholdError) -> None:
        """Turn an action's refusal into this form's error, at its field if it names one."""
        self.add_error(error.field if error.field in self.fields else None, error.message)

    @property
    def loose_fields(self) -> list[BoundField]:
        """The visible fields that no group names."""
        grouped = {name for group in self.groups for name in group.fields}
        return [field for field in self if field.name not in grouped and not field.is_hidden]

    @property
    def bound_groups(self) -> list[BoundGroup]:
        paired = set(self.pairs.values())
        return [
            BoundGroup(
                key=group.key,
                title=group.title,
                fields=tuple(
                    self[name]
                    for name in group.fields
                    if name in self.fields and name not in paired
                ),
                folded=group.folded,
                open=any(name in self.errors for name in group.fields),
                row=group.row,
            )
            for group in self.groups
        ]

    @property
    def headline(self) -> str:
        """ "Not saved yet. One thing is missing." and the like; empty without errors."""
        errors: ErrorDict = self.errors
        if not errors:
            return ""
        count = sum(len(messages) for messages in errors.as_data().values())
        words = count_word(count).capitalize()
        missing = all(
            error.code == "required" for messages in errors.as_data().values() for error in messages
        )
        if missing:
            rest = "thing is missing" if count == 1 else "things are missing"
        else:
            rest = "thing needs another look" if count == 1 else "things need another look"
        return f"{self.not_done} {words} {rest}."

    @property
    def error_links(self) -> list[ErrorLink]:
        return [
            ErrorLink(
                href=f"#{self[name].id_for_label or self[name].auto_id}",
                words=self.short_names.get(name, str(self[name].label or name)),
                sentence=str(messages[0]),
            )
            for name, messages in self.errors.items()
            if name in self.fields
        ]


def choose_from(
    form: forms.BaseForm, name: str, rows: QuerySet[Any], *, empty: str | None = None
) -> None:
    """Let a field choose among these rows; `empty` says what choosing none of them means."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
    if empty is not None:
        field.empty_label = empty


def plain(field: forms.Field) -> None:
    """Set what a phone needs: number keys for numbers, no red browser bubbles, kind words."""
    widget = field.widget
    if isinstance(field, forms.IntegerField | forms.DecimalField) and isinstance(
        widget, forms.NumberInput
    ):
        widget.input_type = "text"
        widget.attrs.setdefault(
            "inputmode", "decimal" if isinstance(field, forms.DecimalField) else "numeric"
        )
        widget.attrs.setdefault("autocomplete", "off")
        widget.attrs.pop("step", None)
    if isinstance(widget, forms.Textarea):
        widget.attrs["rows"] = "4"
        widget.attrs.pop("cols", None)


def kind_of(widget: forms.Widget) -> str:
    """How `parts/_field.html` draws it."""
    if isinstance(widget, DayBoxes):
        return "days"
    if isinstance(widget, forms.CheckboxSelectMultiple):
        return "boxes"
    if isinstance(widget, forms.RadioSelect):
        return "segments" if isinstance(widget, SegmentedRadios) else "radios"
    if isinstance(widget, forms.CheckboxInput):
        return "box"
    if isinstance(widget, forms.Select):
        return "select"
    if isinstance(widget, forms.Textarea):
        return "textarea"
    if widget.attrs.get("inputmode") in ("numeric", "decimal"):
        return "number"
    return "text"

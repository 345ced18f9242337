"""Which work is looked at, and what is to happen with what was picked of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, ClassVar, Final
from urllib.parse import urlencode

from django import forms
from django.db.models import Q, QuerySet
from django.http import QueryDict

from household.chores.models import State, Task
from household.kit.dates import DateWords
from household.kit.forms import PlainForm
from household.people.models import Household, Member

NOBODY: Final = "nobody"
EVERYBODY: Final = "everybody"
TODAY, WEEK, OVERDUE = "today", "week", "overdue"
DAYS_AHEAD: Final = 6


@dataclass(frozen=True)
class Looked:
    """Whose work (a member's number, nobody's or everybody's) on which days."""

    whose: str
    days: str

    def query(self) -> str:
        return urlencode({"from": self.whose, "days": self.days})

    def tasks(self, household: Household, today: date) -> QuerySet[Task]:
        found = Task.objects.filter(household=household, state=State.OPEN)
        if self.whose == NOBODY:
            found = found.filter(member=None, helper="")
        elif self.whose != EVERYBODY:
            found = found.filter(member_id=int(self.whose))
        return found.filter(self._span(today)).order_by("closes", "time", "id")

    def _span(self, today: date) -> Q:
        if self.days == TODAY:
            return Q(opens__lte=today) & (Q(day__lte=today) | Q(closes__lte=today))
        if self.days == OVERDUE:
            return Q(closes__lt=today)
        if self.days == WEEK:
            return Q(opens__lte=today + timedelta(days=DAYS_AHEAD))
        day = date.fromisoformat(self.days)
        return Q(day=day) | Q(day=None, closes=day)


@dataclass(frozen=True)
class Choice:
    value: str
    words: str
    current: bool


class Lookout:
    """The two questions at the top, and what was answered in the address."""

    def __init__(
        self,
        data: QueryDict,
        *,
        people: list[Member],
        viewer: Member,
        today: date,
        words: DateWords,
    ) -> None:
        ahead = [today + timedelta(days=number) for number in range(1, DAYS_AHEAD + 1)]
        self._people = {str(each.pk): each.name for each in people}
        self._people |= {NOBODY: "Nobody’s yet", EVERYBODY: "Everybody’s"}
        self._days = {TODAY: "Today and overdue", OVERDUE: "Overdue"}
        self._days |= {day.isoformat(): words.day(day) for day in ahead}
        self._days |= {WEEK: "The next seven days"}
        whose, days = data.get("from", ""), data.get("days", "")
        self.looked = Looked(
            whose if whose in self._people else str(viewer.pk),
            days if days in self._days else TODAY,
        )

    def people(self) -> list[Choice]:
        return self._choices(self._people, self.looked.whose)

    def days(self) -> list[Choice]:
        return self._choices(self._days, self.looked.days)

    @staticmethod
    def _choices(known: dict[str, str], current: str) -> list[Choice]:
        return [Choice(value, words, value == current) for value, words in known.items()]


class HandWorkForm(PlainForm, forms.Form):
    """What is to happen with the tasks that were picked: `do` is the button that was pressed."""

    tasks = forms.TypedMultipleChoiceField(
        label="Which tasks?",
        coerce=int,
        error_messages={
            "required": "Pick at least one task.",
            "invalid_choice": "One of them is no longer in this list. Pick again.",
        },
    )
    to = forms.ChoiceField(label="Who gets them?", required=False)
    day = forms.DateField(
        label="To which day?",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
    )
    do = forms.ChoiceField(choices=[("hand", ""), ("move", "")], widget=forms.HiddenInput)

    not_done: ClassVar[str] = "Nothing has been handed over yet."
    short_names: ClassVar[dict[str, str]] = {
        "tasks": "Which tasks",
        "to": "Who gets them",
        "day": "The day",
    }

    def __init__(
        self, data: QueryDict | None = None, *, tasks: list[int], people: list[Member], today: date
    ) -> None:
        super().__init__(data)
        self._sent = data or QueryDict()
        self._people, self._today = {str(each.pk): each for each in people}, today
        self._offer("tasks", [(str(pk), "") for pk in tasks])
        self._offer("to", [(NOBODY, ""), *((key, "") for key in self._people)])

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("do") == "hand" and not values.get("to") and "to" not in self.errors:
            self.add_error("to", "Choose who gets them.")
        day = values.get("day")
        if values.get("do") == "move" and "day" not in self.errors:
            if day is None:
                self.add_error("day", "Choose a day.")
            elif day < self._today:
                self.add_error("day", "That day is over. Choose today or a later one.")
        return values

    def to_member(self) -> Member | None:
        return self._people.get(self.cleaned_data["to"])

    def picked(self) -> set[int]:
        """What stays picked when the form comes back."""
        return {int(value) for value in self._sent.getlist("tasks") if value.isdigit()}

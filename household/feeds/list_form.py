"""A list of birthdays, name days or other days, pasted or in a file: read, and made ready."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django import forms

from household.calc.foreign_calendar import MOST_BYTES, CalendarRefused
from household.calc.occasion_lists import Listed, ReadList, read_list
from household.calc.occasions import Sort
from household.feeds.reading import read_apart
from household.kit.forms import PlainForm
from household.occasions.actions import Wanted
from household.occasions.models import OccasionKind
from household.occasions.wording import called
from household.people.models import Household, Member

AHEAD = timedelta(days=366)
CALENDAR = b"BEGIN:VCALENDAR"
YEARLY = (OccasionKind.BIRTHDAY, OccasionKind.NAME_DAY, OccasionKind.ANNIVERSARY)
MOST_TEXT = 60_000


class ListForm(PlainForm, forms.Form):
    """A file is put into the text, where it can be mended before anything is added."""

    kind = forms.ChoiceField(label="What are they?", choices=OccasionKind.choices)
    text = forms.CharField(
        label="One a line: a name, a comma, a date",
        required=False,
        max_length=MOST_TEXT,
        widget=forms.Textarea,
        help_text="For example “Ilse, 1955-12-19” or “Per, 25.2.”. The year may be missing.",
    )
    file = forms.FileField(
        label="Or a file",
        required=False,
        help_text="A list as text or CSV, or a calendar (.ics), of at most 2 MB.",
        widget=forms.FileInput(
            attrs={"accept": ".csv,.txt,.ics,text/csv,text/plain,text/calendar"}
        ),
        error_messages={"empty": "That file is empty. Choose another one."},
    )
    not_done = "Nothing is added yet."

    def __init__(self, *args: Any, household: Household, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.household, self.today = household, today

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        upload = values.get("file")
        if upload is not None and "kind" in values:
            if upload.size > MOST_BYTES:
                self.add_error(
                    "file", "That file is larger than 2 MB, which is more than is taken."
                )
            else:
                values["text"] = self._text_of(upload.read(), values["kind"])
        if not values.get("text", "").strip() and not self.errors:
            self.add_error("text", "Paste a list, or choose a file.")
        return values

    def _text_of(self, content: bytes, kind: str) -> str:
        if not content.removeprefix(b"\xef\xbb\xbf").lstrip().upper().startswith(CALENDAR):
            return content.decode("utf-8", errors="replace")[:MOST_TEXT]
        try:
            read = read_apart(
                content,
                zone=self.household.time_zone,
                first=self.today,
                last=self.today + AHEAD,
                titles=True,
            )
        except CalendarRefused as refused:
            self.add_error("file", str(refused))
            return ""
        # In a calendar a birthday is on this year's day; when somebody was born is not in it.
        days = "--%m-%d" if kind in YEARLY else "%Y-%m-%d"
        lines = [
            f'"{" ".join(event.title.split()).replace(chr(34), "”")}",{event.first.strftime(days)}'
            for event in read.events
            if event.title.strip()
        ]
        return "\n".join(dict.fromkeys(lines))[:MOST_TEXT]

    def read(self) -> ReadList:
        return read_list(self.cleaned_data["text"], self.household.date_order)

    def with_text(self) -> ListForm:
        """The form again, with what was in the file as its text."""
        values = {"kind": self.cleaned_data["kind"], "text": self.cleaned_data["text"]}
        return ListForm(initial=values, household=self.household, today=self.today)


def wanted(rows: Iterable[Listed], kind: str, people: Iterable[Member]) -> list[Wanted]:
    """The occasions of a list. A name that is a member's concerns that member."""
    by_name = {member.name.casefold(): member for member in people}
    return [_wanted(row, kind, by_name.get(row.name.casefold())) for row in rows]


def _wanted(row: Listed, kind: str, member: Member | None) -> Wanted:
    concerns = [member] if member else []
    who, name = "" if member else row.name, row.name
    if kind in YEARLY:
        # A calendar's title may say already what it is: “Ilse’s birthday”.
        said = str(OccasionKind(kind).label).casefold() in row.name.casefold()
        name, who = (row.name, "") if said else (called(kind, concerns, who), who)
    else:
        who = ""
    once = kind not in YEARLY and row.year is not None
    fields = {
        "name": name,
        "kind": kind,
        "who": who,
        "sort": Sort.ONCE if once else Sort.YEARLY,
        "month": row.month,
        "day": row.day,
        "year": row.year,
    }
    return Wanted(fields, concerns)

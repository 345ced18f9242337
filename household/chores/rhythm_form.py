"""The part of the chore form that asks how a chore repeats, and its live preview."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, ClassVar

from django import forms

from household.calc.names import DAYS, MONTHS
from household.calc.recurrence.controls import (
    LAST,
    By,
    Controls,
    Counted,
    Ends,
    Step,
    from_repeat,
    to_repeat,
)
from household.calc.recurrence.controls import Missed as MissedRule
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.repeat import (
    Kind,
    Repeat,
    Shift,
    Window,
    for_saving,
    preview,
)
from household.calc.recurrence.words import missed_sentence, sentence
from household.chores.models import SHIFTS, WINDOWS, Chore, Missed
from household.kit.dates import DateWords
from household.kit.forms import DayBoxes, Group, SegmentedRadios

if TYPE_CHECKING:
    _Form = forms.BaseForm
else:
    _Form = object

_DAY = timedelta(days=1)
OWN = "own"  # a rule of one's own, pasted as RRULE text
COUNTED = [
    (Counted.CALENDAR, "The calendar"),
    (Counted.LAST_DONE, "Last time done"),
    (Counted.ONCE, "Just once"),
    (OWN, "My own rule"),
]
STEPS = [(Step.DAYS, "days"), (Step.WEEKS, "weeks"), (Step.MONTHS, "months"), (Step.YEARS, "years")]
NTH = [(1, "first"), (2, "second"), (3, "third"), (4, "fourth"), (LAST, "last")]
MONTH_DAYS = [
    ("", "The day it starts"),
    *[(n, str(n)) for n in range(1, 32)],
    (LAST, "The last day"),
]
DAY_CHOICES = list(enumerate(DAYS))
MONTH_CHOICES = list(enumerate(MONTHS, start=1))


def _date(label: str, **kwargs: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Choose a day.",
            "invalid": "Write the day as year-month-day, for example 2026-12-31.",
        },
        **kwargs,
    )


def _choice(label: str, choices: Any, widget: Any = None, **kwargs: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label, choices=choices, required=False, widget=widget or forms.Select, **kwargs
    )


class RhythmFields(forms.Form):
    """Fields of a rhythm; mixed into the chore form and used alone by the preview."""

    counted = forms.ChoiceField(label="Counted from", choices=COUNTED, widget=SegmentedRadios)
    every = forms.IntegerField(
        label="Every",
        required=False,
        min_value=1,
        max_value=1000,
        initial=1,
        error_messages={
            "invalid": "Type a number, for example 2.",
            "min_value": "Type 1 or more.",
            "max_value": "Type 1000 or fewer.",
        },
    )
    step = _choice("of what", STEPS)
    weekdays = forms.TypedMultipleChoiceField(
        label="On", choices=DAY_CHOICES, coerce=int, required=False, widget=DayBoxes
    )
    by = _choice(
        "Which day?", [(By.DATE, "By its date"), (By.WEEKDAY, "By its weekday")], SegmentedRadios
    )
    day = _choice("Day of the month", MONTH_DAYS, coerce=int, empty_value=None)
    nth = _choice("The", NTH, coerce=int, empty_value=1)
    weekday = _choice("weekday", DAY_CHOICES, coerce=int, empty_value=0)
    month = _choice(
        "In", [("", "The month it starts"), *MONTH_CHOICES], coerce=int, empty_value=None
    )
    rule = forms.CharField(
        label="The rule",
        required=False,
        max_length=500,
        help_text="An RFC 5545 rule, for example FREQ=MONTHLY;BYDAY=2TU. Daily or slower.",
    )
    window = forms.ChoiceField(
        label="When may it be done?", choices=WINDOWS, widget=forms.RadioSelect
    )
    starts = _date("Starting on")
    time = forms.TimeField(
        label="By which time?",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Write the time as hours:minutes, for example 17:30."},
    )
    ends = _choice(
        "Until",
        [(Ends.NEVER, "No end"), (Ends.ON_DATE, "A date"), (Ends.AFTER_TIMES, "So many times")],
        SegmentedRadios,
    )
    until = _date("The last date", required=False)
    times = forms.IntegerField(
        label="How many times?",
        required=False,
        min_value=1,
        max_value=5000,
        error_messages={"invalid": "Type a number, for example 6."},
    )
    months = forms.TypedMultipleChoiceField(
        label="Only in some months?",
        choices=MONTH_CHOICES,
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None chosen means all year.",
    )
    on_holiday = _choice("On a public holiday", SHIFTS)
    on_away = _choice("While all who may do it are away", SHIFTS)
    missed = forms.ChoiceField(label="When it is missed", choices=Missed, widget=forms.RadioSelect)
    grace_days = forms.IntegerField(
        label="Let it go after",
        required=False,
        min_value=0,
        max_value=366,
        error_messages={"invalid": "Type a number of days, for example 0."},
    )

    units: ClassVar[Mapping[str, str]] = {"times": "times", "grace_days": "days more"}
    pairs: ClassVar[Mapping[str, str]] = {"every": "step", "nth": "weekday"}
    short_names: ClassVar[Mapping[str, str]] = {
        "every": "How often",
        "rule": "The rule",
        "starts": "The start",
        "until": "The last date",
        "times": "How many times",
    }
    shown_when: ClassVar[Mapping[str, str]] = {
        "every": "counted=calendar,last_done",
        "weekdays": "counted=calendar&step=weeks",
        "by": "counted=calendar&step=months,years",
        "day": "counted=calendar&step=months,years&by=date",
        "nth": "counted=calendar&step=months,years&by=weekday",
        "month": "counted=calendar&step=years",
        "rule": "counted=own",
        "ends": "counted=calendar",
        "until": "counted=calendar&ends=on_date",
        "times": "counted=calendar&ends=after_times",
        "time": "window=day",
        "grace_days": "missed=lapse",
    }
    rhythm_group: ClassVar[Group] = Group(
        "repeat",
        "How does it repeat?",
        (
            "counted",
            "every",
            "step",
            "weekdays",
            "by",
            "day",
            "nth",
            "weekday",
            "month",
            "rule",
            "starts",
            "ends",
            "until",
            "times",
            "window",
            "time",
        ),
    )
    seldom_group: ClassVar[Group] = Group(
        "seldom",
        "Seasons, holidays, and when it is missed",
        ("months", "on_holiday", "on_away", "missed", "grace_days"),
        folded=True,
    )
    week_start = 0
    repeat: Repeat | None = None

    def clean_rhythm(self) -> None:
        """Build the Repeat, or put the rule's own sentence at the field it belongs to."""
        if {"starts", "every", "times", "until", "window", "counted"} & set(self.errors):
            return
        try:
            self.repeat = for_saving(self._repeat())
        except RuleError as error:
            own = self.cleaned_data.get("counted") == OWN
            self.add_error("rule" if own else "every", str(error))

    def _repeat(self) -> Repeat:
        values = self.cleaned_data
        if values["counted"] == OWN:
            return Repeat(
                Kind.RULE,
                values["starts"],
                rule=values["rule"] or "",
                window=Window(values["window"]),
                months=frozenset(values["months"] or range(1, 13)),
                on_holiday=Shift(values["on_holiday"] or Shift.KEEP),
                on_away=Shift(values["on_away"] or Shift.KEEP),
                week_start=self.week_start,
            )
        return to_repeat(self._controls(), values["starts"], self.week_start)

    def _controls(self) -> Controls:
        values = self.cleaned_data
        counted = Counted(values["counted"])
        plain = counted == Counted.CALENDAR
        return Controls(
            counted=counted,
            every=values["every"] or 1,
            step=Step(values["step"] or Step.WEEKS),
            weekdays=frozenset(values["weekdays"]),
            by=By(values["by"] or By.DATE),
            day=values["day"],
            month=values["month"],
            nth=values["nth"] or 1,
            weekday=values["weekday"] or 0,
            ends=Ends(values["ends"] or Ends.NEVER) if plain else Ends.NEVER,
            until=values["until"],
            times=values["times"],
            window=Window(values["window"]),
            months=frozenset(values["months"] or range(1, 13)),
            on_holiday=Shift(values["on_holiday"] or Shift.KEEP),
            on_away=Shift(values["on_away"] or Shift.KEEP),
        )

    def rhythm_values(self) -> dict[str, Any]:
        """The rhythm as columns of the chore."""
        repeat, values = self.repeat, self.cleaned_data
        assert repeat is not None
        return {
            "repeat": repeat.kind,
            "rule": repeat.rule,
            "every": repeat.every or 1,
            "unit": repeat.unit,
            "window": repeat.window,
            "months": [] if len(repeat.months) == 12 else sorted(repeat.months),
            "on_holiday": repeat.on_holiday,
            "on_away": repeat.on_away,
            "starts": repeat.start,
            "time": values["time"] if repeat.window == Window.DAY else None,
            "missed": values["missed"],
            "grace_days": (values["grace_days"] or 0) if values["missed"] == "lapse" else 0,
        }


class RhythmForm(RhythmFields):
    """The rhythm alone, for the live preview."""

    def __init__(self, *args: Any, week_start: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.week_start = week_start

    def clean(self) -> dict[str, Any]:
        self.clean_rhythm()
        return self.cleaned_data


def rhythm_initial(chore: Chore | None, today: date, week_start: int) -> dict[str, Any]:
    """What the controls show for a chore, or for a new one: once a week, from today."""
    if chore is None or (chore.pk is None and not chore.rule):
        return {
            "counted": Counted.CALENDAR,
            "every": 1,
            "step": Step.WEEKS,
            "weekdays": [today.weekday()],
            "by": By.DATE,
            "ends": Ends.NEVER,
            "window": Window.DAY,
            "starts": today,
            "missed": Missed.CARRY,
            "grace_days": 0,
        }
    repeat = chore.as_repeat(week_start)
    common = {
        "window": chore.window,
        "starts": chore.starts,
        "time": chore.time,
        "months": chore.months,
        "on_holiday": chore.on_holiday,
        "on_away": chore.on_away,
        "missed": chore.missed,
        "grace_days": chore.grace_days,
        "rule": chore.rule,
        "may": chore.may,
        "hazards": chore.hazards,
    }
    shown = from_repeat(repeat)
    # The form has no control for leaving short months out: such a rule is shown as text.
    if shown is None or not shown.short_month_last:
        return {**common, "counted": OWN, "every": 1, "step": Step.WEEKS}
    return {
        **common,
        # A rule's own BYMONTH is shown as a season too.
        "months": [] if len(shown.months) == 12 else sorted(shown.months),
        "counted": shown.counted,
        "every": shown.every,
        "step": shown.step,
        "weekdays": sorted(shown.weekdays),
        "by": shown.by,
        "day": shown.day,
        "month": shown.month,
        "nth": shown.nth,
        "weekday": shown.weekday,
        "ends": shown.ends,
        "until": shown.until,
        "times": shown.times,
    }


@dataclass(frozen=True, slots=True)
class PreviewDate:
    weekday: str
    day: int
    month: str
    note: str


@dataclass(frozen=True, slots=True)
class Preview:
    """A rhythm shown back: its sentence and next dates, or what stands against it."""

    sentence: str = ""
    problem: str = ""
    dates: list[PreviewDate] = field(default_factory=list)


def preview_of(
    form: RhythmFields, words: DateWords, holidays: Mapping[date, str], today: date
) -> Preview:
    repeat = form.repeat if (form.is_bound and form.is_valid()) or form.repeat else None
    if repeat is None:
        errors = [message for messages in form.errors.values() for message in messages]
        return Preview(problem=str(errors[0]) if errors else "Choose how it repeats.")
    missed = missed_sentence(
        MissedRule(form.cleaned_data.get("missed") or MissedRule.CARRY),
        form.cleaned_data.get("grace_days") or 0,
    )
    return shown_back(repeat, words, holidays, today, missed)


def shown_back(
    repeat: Repeat,
    words: DateWords,
    holidays: Mapping[date, str],
    today: date,
    missed: str = "",
) -> Preview:
    after = None if repeat.kind == Kind.ONCE else max(repeat.start, today) - _DAY
    dues = preview(repeat, after=after, count=10, holidays=holidays)
    return Preview(
        sentence=" ".join(filter(None, [sentence(repeat, date_words=words.full), missed])),
        dates=[
            PreviewDate(
                DAYS[due.opens.weekday()][:3],
                due.opens.day,
                MONTHS[due.opens.month - 1],
                _note(due.opens, due.closes, words, holidays),
            )
            for due in dues
        ],
    )


def _note(opens: date, closes: date, words: DateWords, holidays: Mapping[date, str]) -> str:
    if opens != closes:
        return f"any day to {words.short(closes)}"
    return holidays.get(opens, "")

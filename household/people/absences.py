"""Days away: changing them, and saying them in plain words."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, timedelta

from household.calc import free_time
from household.calc.names import DAYS
from household.kit.dates import DateWords
from household.kit.writing import writes
from household.people.actions import touch_household
from household.people.models import Absence, Member
from household.people.queries import as_absence

LOOK_AHEAD = timedelta(days=120)
SOON = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Days:
    """When somebody is away: see calc.free_time.Absence."""

    starts: date
    ends: date
    every_weeks: int | None = None
    until: date | None = None
    note: str = ""


@writes
def add_absence(*, member: Member, days: Days) -> Absence:
    """Days away; saying the same days again changes nothing."""
    same = Absence.objects.filter(member=member, **asdict(days)).first()
    if same is not None:
        return same
    absence = Absence.objects.create(member=member, **asdict(days))
    touch_household(member.household_id)
    return absence


@writes
def change_absence(*, absence: Absence, days: Days) -> Absence:
    for name, value in asdict(days).items():
        setattr(absence, name, value)
    absence.save()
    touch_household(absence.member.household_id)
    return absence


@writes
def remove_absence(*, absence: Absence) -> Days:
    """Take days away out; returns them, so that they can be put back."""
    days = days_of(absence)
    absence.delete()
    touch_household(absence.member.household_id)
    return days


def days_of(absence: Absence) -> Days:
    return Days(absence.starts, absence.ends, absence.every_weeks, absence.until, absence.note)


def absence_words(absence: Absence, words: DateWords, today: date) -> str:
    """Away 16 to 22 March: at her sister's. Away Friday to Sunday every 2 weeks from 6 March."""
    first, last = absence.starts, absence.ends
    if absence.every_weeks is None:
        sentence = f"Away {_once(first, last, words, today)}"
    else:
        sentence = (
            f"Away {_weekdays(first, last)} {_every(absence.every_weeks)} "
            f"from {_dated(first, words, today)}"
        )
    if absence.until is not None:
        sentence += f", until {_dated(absence.until, words, today)}"
    return f"{sentence}: {absence.note}" if absence.note else sentence


def now_words(member: Member, words: DateWords, today: date) -> str:
    """Where a member is: away until when, away soon, or nothing to say (they are at home)."""
    away = free_time.away_days(
        [as_absence(row) for row in member.absences.all()], today, today + LOOK_AHEAD
    )
    soon = min((day for day in away if day - today <= SOON), default=None)
    if soon is None:
        return ""
    if soon > today:
        return f"Away from {words.near(soon, today)}"
    last = today
    while last + timedelta(days=1) in away:
        last += timedelta(days=1)
    if last == today + LOOK_AHEAD:
        return "Away"
    return "Away today" if last == today else f"Away until {words.near(last, today)}"


def _once(first: date, last: date, words: DateWords, today: date) -> str:
    if first == last:
        same_year = first.year == today.year
        return f"on {words.day(first) if same_year else words.full(first)}"
    span = words.span(first, last)
    return span if today.year in (first.year, last.year) else f"{span} {last.year}"


def _weekdays(first: date, last: date) -> str:
    length = (last - first).days + 1
    if length == 1:
        return f"on {DAYS[first.weekday()]}"
    if length <= 7:
        return f"{DAYS[first.weekday()]} to {DAYS[last.weekday()]}"
    return f"{length} days from {DAYS[first.weekday()]}"


def _every(weeks: int) -> str:
    return "every week" if weeks == 1 else f"every {weeks} weeks"


def _dated(day: date, words: DateWords, today: date) -> str:
    return words.short(day) if day.year == today.year else words.full(day)

"""A repeat as plain English sentences, for the form, the chore's page and print."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from household.calc.names import DAYS, MONTHS
from household.calc.recurrence.controls import LAST, By, Controls, Ends, Missed, Step, month_lengths
from household.calc.recurrence.controls import from_repeat as controls_of
from household.calc.recurrence.kinds import Kind, Repeat, Shift, Unit, Window
from household.calc.recurrence.nominal import next_nominal
from household.calc.recurrence.rules import ALL_MONTHS, parse
from household.calc.recurrence.shifting import window_of

_ORDINALS = {1: "first", 2: "second", 3: "third", 4: "fourth", LAST: "last"}
DateWords = Callable[[date], str]


def plain_date(day: date) -> str:
    """17 March 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def sentence(repeat: Repeat, *, date_words: DateWords | None = None) -> str:
    """What the repeat means, one to three sentences. `date_words` writes a full date.

    A rule that the plain controls cannot show is named as what it is, not guessed at.
    """
    words = date_words or plain_date
    if repeat.kind is Kind.ONCE:
        main = _once(repeat, words)
    elif repeat.kind is Kind.AFTER_DONE:
        main = _after_done(repeat, words)
    else:
        controls = controls_of(repeat)
        if controls is None:
            main = _own_rule(repeat, words)
        else:
            main = _by_calendar(controls, repeat, words)
    return " ".join([main + ".", *_shifts(repeat)])


def brief(repeat: Repeat) -> str:
    """The rhythm alone, for a narrow column: no dates, no exceptions, no full stop."""
    if repeat.kind is Kind.ONCE:
        return "Once"
    if repeat.kind is Kind.AFTER_DONE:
        return _joined(_wait(repeat), _season(repeat.months))
    controls = controls_of(repeat)
    if controls is None:
        return _joined("By a rule of your own", _season(repeat.months))
    if controls.window is not Window.DAY:
        return _joined(_any_day(controls, repeat), _season(controls.months))
    return _joined(
        _run_of_days(controls) or _days(controls, repeat.start), _season(controls.months)
    )


def _run_of_days(controls: Controls) -> str:
    """Monday to Friday, in place of five names; empty where the days do not follow on."""
    days = sorted(controls.weekdays)
    run = len(days) > 2 and days[-1] - days[0] == len(days) - 1
    if controls.step is not Step.WEEKS or controls.every != 1 or not run:
        return ""
    return "Every day" if len(days) == 7 else f"{DAYS[days[0]]} to {DAYS[days[-1]]}"


def missed_sentence(missed: Missed, grace_days: int = 0) -> str:
    """What becomes of a task that is not done in time."""
    if missed is Missed.CARRY:
        return "If it is missed, it is carried over until it is done."
    if grace_days == 0:
        return "If it is missed, it lapses."
    return f"If it is missed, it lapses after {_number_of(grace_days, 'day')}."


def _once(repeat: Repeat, words: DateWords) -> str:
    when = {
        Window.DAY: f"on {words(repeat.start)}",
        Window.WEEK: f"on any day of the week of {words(repeat.start)}",
        Window.MONTH: f"on any day of {MONTHS[repeat.start.month - 1]} {repeat.start.year}",
    }
    return f"Once, {when[repeat.window]}"


def _after_done(repeat: Repeat, words: DateWords) -> str:
    preposition = "on" if repeat.window is Window.DAY else "from"
    first = f"the first time {preposition} {words(_first(repeat))}"
    return _joined(_wait(repeat), _season(repeat.months), first)


def _wait(repeat: Repeat) -> str:
    every, step = repeat.every, repeat.unit.value[:-1]
    if repeat.unit is Unit.MONTHS and every % 12 == 0:
        every, step = every // 12, "year"
    wait = f"{_number_of(every, step)} after it was last done"
    if repeat.window is not Window.DAY:
        wait += f", on any day of that {repeat.window}"
    return wait


def _first(repeat: Repeat) -> date:
    """The first day on which it can be done: what "every second" is counted from."""
    first = next_nominal(repeat, after=None)
    if first is None:
        return repeat.start
    opens = window_of(repeat, first)[0]
    if opens.month not in repeat.months:
        opens = first.replace(day=1)  # a week that begins before its season
    return max(repeat.start, opens)


def _by_calendar(controls: Controls, repeat: Repeat, words: DateWords) -> str:
    what = (
        _any_day(controls, repeat)
        if controls.window is not Window.DAY
        else _days(controls, repeat.start)
    )
    ends = {
        Ends.NEVER: "with no end date",
        Ends.ON_DATE: f"until {words(controls.until)}" if controls.until else "",
        Ends.AFTER_TIMES: _times(controls.times or 0),
    }
    return _joined(
        what, _season(controls.months), f"from {words(_first(repeat))}", ends[controls.ends]
    )


def _own_rule(repeat: Repeat, words: DateWords) -> str:
    where = "" if repeat.window is Window.DAY else f"any day of the {repeat.window} it falls in"
    main = f"By a rule of your own: {parse(repeat.rule).text()}"
    return _joined(main, where, _season(repeat.months), f"from {words(_first(repeat))}")


def _days(controls: Controls, start: date) -> str:
    """Every 2 weeks on Tuesday and Friday."""
    step = controls.step.value[:-1]
    every = f"Every {step}" if controls.every == 1 else f"Every {controls.every} {step}s"
    if controls.step is Step.DAYS:
        return every
    if controls.step is Step.WEEKS:
        return f"{every} on {_list_of(DAYS[day] for day in sorted(controls.weekdays))}"
    return f"{every} on {_day_of_month(controls, start)}"


def _day_of_month(controls: Controls, start: date) -> str:
    month = MONTHS[controls.month - 1] if controls.step is Step.YEARS and controls.month else ""
    of_month = f" of {month}" if month else ""
    if controls.by is By.WEEKDAY:
        return f"the {_ORDINALS[controls.nth]} {DAYS[controls.weekday]}{of_month}"
    day = controls.day or start.day
    if day == LAST:
        return f"the last day{of_month}"
    named = f"{day} {month}" if month else f"the {_nth(day)}"
    always = month_lengths(controls.month)[0] if month and controls.month else 28
    if day <= always:
        return named
    if controls.short_month_last:
        return f"{named}, or the last day of a shorter month"
    return f"{named}, leaving out shorter months"


def _any_day(controls: Controls, repeat: Repeat) -> str:
    """Any day of every second week. A day inside the window does not matter, so is not named."""
    step = controls.step.value[:-1]
    every = "every" if controls.every == 1 else f"every {_nth_in_words(controls.every)}"
    if controls.step is Step.WEEKS:
        number = len(controls.weekdays)
        if number <= 1:
            return f"Any day of {every} week"
        return f"{_times(number).capitalize()} in {every} week, on any days"
    if controls.window is Window.WEEK:
        day = _day_of_month(controls, repeat.start)
        return f"Any day of the week that holds {day}, {every} {step}"
    if controls.step is Step.MONTHS:
        return f"Any day of {every} month"
    return f"Any day of {MONTHS[(controls.month or repeat.start.month) - 1]}, {every} year"


def _season(months: frozenset[int]) -> str:
    """only from April to October; only in March, June and September."""
    if months == ALL_MONTHS:
        return ""
    on = sorted(months)
    # The season may run over the new year: begin after the last month that is off.
    begins = [month for month in on if (month - 2) % 12 + 1 not in months]
    if len(begins) == 1 and len(on) > 2:
        last = (begins[0] + len(on) - 2) % 12
        return f"only from {MONTHS[begins[0] - 1]} to {MONTHS[last]}"
    return f"only in {_list_of(MONTHS[month - 1] for month in on)}"


def _shifts(repeat: Repeat) -> list[str]:
    falls = {
        Window.DAY: "on a public holiday",
        Window.WEEK: "in a week of public holidays only",
        Window.MONTH: "in a month of public holidays only",
    }
    whole = "" if repeat.window is Window.DAY else f" the whole {repeat.window}"
    done = {
        Shift.SKIP: "it is left out",
        Shift.EARLIER: "it comes earlier",
        Shift.LATER: "it comes later",
    }
    found = []
    if repeat.on_holiday is not Shift.KEEP:
        found.append(f"If it falls {falls[repeat.window]}, {done[repeat.on_holiday]}.")
    if repeat.on_away is not Shift.KEEP:
        found.append(f"If everyone who may do it is away{whole}, {done[repeat.on_away]}.")
    return found


def _joined(*phrases: str) -> str:
    return ", ".join(phrase for phrase in phrases if phrase)


def _number_of(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _list_of(words: Iterable[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def _nth(number: int) -> str:
    ending = (
        "th" if 11 <= number % 100 <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    )
    return f"{number}{ending}"


def _nth_in_words(number: int) -> str:
    return _ORDINALS.get(number) or _nth(number)

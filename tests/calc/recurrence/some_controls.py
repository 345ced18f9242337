"""Random settings of the plain controls, every family of them."""

from datetime import date, timedelta

from hypothesis import assume
from hypothesis import strategies as st

from household.calc.recurrence.controls import LAST, By, Controls, Counted, Ends, Step, to_repeat
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.repeat import Repeat, Shift, Window, next_nominal

starts = st.dates(date(2023, 1, 1), date(2029, 12, 31))
ALL_YEAR = frozenset(range(1, 13))


@st.composite
def settings_of_controls(draw: st.DrawFn, start: date) -> Controls:
    counted = draw(st.sampled_from([Counted.CALENDAR] * 4 + [Counted.LAST_DONE, Counted.ONCE]))
    step = draw(st.sampled_from(Step))
    windows = [Window.DAY, Window.DAY]
    if counted is not Counted.CALENDAR or step is not Step.DAYS:
        windows.append(Window.WEEK)
    if counted is not Counted.CALENDAR or step in (Step.MONTHS, Step.YEARS):
        windows.append(Window.MONTH)
    ends = draw(st.sampled_from(Ends)) if counted is Counted.CALENDAR else Ends.NEVER
    season = st.one_of(st.just(ALL_YEAR), st.frozensets(st.integers(1, 12), min_size=1))
    try:
        return Controls(
            counted=counted,
            every=draw(st.one_of(st.just(1), st.integers(2, 24))),
            step=step,
            weekdays=draw(st.frozensets(st.integers(0, 6), max_size=3)),
            by=draw(st.sampled_from(By)),
            day=draw(st.one_of(st.none(), st.integers(1, 31), st.just(LAST), st.just(31))),
            month=draw(st.one_of(st.none(), st.integers(1, 12))),
            short_month_last=draw(st.booleans()),
            nth=draw(st.sampled_from([1, 2, 3, 4, LAST])),
            weekday=draw(st.integers(0, 6)),
            ends=ends,
            until=start + timedelta(days=draw(st.integers(0, 1_500))),
            times=draw(st.integers(1, 12)),
            window=draw(st.sampled_from(windows)),
            months=draw(season),
            on_holiday=draw(st.sampled_from(Shift)),
            on_away=draw(st.sampled_from(Shift)),
        )
    except RuleError:
        assume(False)
        raise


@st.composite
def repeats_by_controls(draw: st.DrawFn) -> tuple[Controls, Repeat]:
    """Controls and their Repeat, which comes round at least once."""
    start = draw(starts)
    controls = draw(settings_of_controls(start))
    try:
        repeat = to_repeat(controls, start, draw(st.integers(0, 6)))
    except RuleError:  # 31 April every year, for one
        assume(False)
        raise
    assume(next_nominal(repeat, after=None))
    return controls, repeat

"""Thousands of random rules, against python-dateutil and against the RFC day by day."""

from datetime import date, timedelta

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from household.calc.recurrence.dates import between, next_on_or_after, upcoming
from household.calc.recurrence.errors import RuleError
from household.calc.recurrence.expand import plan
from household.calc.recurrence.model import Freq, Rule
from household.calc.recurrence.rules import normalise, parse
from tests.calc.recurrence.oracles import by_the_book, rule_texts, starts, walked, week_begin

quick = settings(derandomize=True, deadline=None, max_examples=100, database=None)
thorough = settings(quick, max_examples=2_000)
AGES_IN_DAYS = (0, 1, 40, 366, 2_557, 7_305)


def parsed(text: str) -> Rule:
    try:
        return parse(text)
    except RuleError:
        assume(False)  # a rule without any day, such as 31 June: checked apart below
        raise


@thorough
@given(
    text=rule_texts(like_dateutil=True),
    start=starts,
    age=st.sampled_from(AGES_IN_DAYS),
    window=st.integers(1, 500),
)
def test_anchored_dates_are_those_of_dateutil_walking_from_the_start(
    text: str, start: date, age: int, window: int
) -> None:
    rule = parsed(text)
    if rule.freq is Freq.WEEKLY and rule.by_set_pos:
        # dateutil cuts the week of the start off before it counts positions; RFC 5545 does not.
        start = week_begin(start, rule.week_start)
    # A rule without dates would have dateutil walk to the year 9999.
    assume(next_on_or_after(rule, start=start, day=start))
    first = start + timedelta(days=age)
    last = first + timedelta(days=window)
    expected = walked(text, start, first, last)
    assert between(rule, start=start, first=first, last=last) == expected


@quick
@given(
    text=rule_texts(),
    start=starts,
    age=st.sampled_from(AGES_IN_DAYS),
    window=st.integers(1, 800),
)
def test_dates_are_those_that_the_words_of_rfc_5545_let_through(
    text: str, start: date, age: int, window: int
) -> None:
    rule = parsed(text)
    first = start + timedelta(days=age)
    last = first + timedelta(days=window)
    expected = by_the_book(text, start, first, last)
    assert between(rule, start=start, first=first, last=last) == expected


@quick
@given(text=rule_texts(), start=starts, age=st.sampled_from(AGES_IN_DAYS))
def test_next_upcoming_and_between_agree(text: str, start: date, age: int) -> None:
    rule = parsed(text)
    day = start + timedelta(days=age)
    following = next_on_or_after(rule, start=start, day=day)
    coming = upcoming(rule, start=start, after=day - timedelta(days=1), count=5)
    assert coming[:1] == ([] if following is None else [following])
    if coming:
        assert coming == between(rule, start=start, first=day, last=coming[-1])


@quick
@given(text=rule_texts(like_dateutil=True), start=starts)
def test_text_is_read_back_as_the_same_rule(text: str, start: date) -> None:
    rule = parsed(text)
    assert parse(rule.text()) == rule
    assert parse("rrule:" + text.lower()) == rule


@quick
@given(text=rule_texts(ends=False), start=starts, count=st.integers(1, 40))
def test_a_count_saved_as_until_gives_the_same_dates(text: str, start: date, count: int) -> None:
    counted = parsed(f"{text};COUNT={count}")
    assume(next_on_or_after(counted, start=start, day=start))
    saved = parse(normalise(counted.text(), start))
    assert saved.count is None
    endless = parse(text)
    expected = upcoming(endless, start=start, after=start - timedelta(days=1), count=count)
    for rule in (counted, saved):
        dates = between(rule, start=start, first=start, last=date.max)
        assert dates == expected


@quick
@given(text=rule_texts(ends=False), start=starts, later=st.integers(0, 1_500))
def test_equal_plans_give_equal_dates_whatever_the_start(
    text: str, start: date, later: int
) -> None:
    rule = parsed(text)
    other = start + timedelta(days=later)
    assume(plan(rule, start) == plan(rule, other))
    last = other + timedelta(days=500)
    assert between(rule, start=start, first=other, last=last) == between(
        rule, start=other, first=other, last=last
    )


@quick
@given(text=rule_texts(ends=False))
def test_a_rule_refused_as_never_falling_has_no_day_in_28_years(text: str) -> None:
    """28 years hold each of the fourteen kinds of year."""
    try:
        parse(text)
    except RuleError as error:
        assert "never" in str(error)
        every = ";".join(part for part in text.split(";") if not part.startswith("INTERVAL"))
        assert by_the_book(every, date(2001, 1, 1), date(2001, 1, 1), date(2028, 12, 31)) == []

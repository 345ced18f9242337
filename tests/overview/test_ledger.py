"""Who did how much: figures counted by hand, spans of the household's own weeks."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from household.chores.models import State
from household.overview.ledger import Ledger, ledger
from household.overview.spans import Span, span_of
from household.people.models import Absence, Household, Member
from tests.factories import TODAY, make_member, make_task

LONG_AGO = TODAY - timedelta(weeks=40)


def did(member: Member, minutes: int, day: date = TODAY, **fields):
    return make_task(
        member.household,
        state=State.DONE,
        minutes=minutes,
        day=day,
        done_on=day,
        done_by=member,
        **fields,
    )


def four_weeks(household: Household) -> Ledger:
    return ledger(household, span_of({}, TODAY, household.first_weekday))


def table(found: Ledger) -> dict[str, tuple[int, int]]:
    return {line.member.name: (line.done, line.agreed) for line in found.lines}


def test_done_and_agreed_are_counted_from_the_ticks(household, organiser, member):
    organiser.weight, member.weight = 20, 10
    organiser.save()
    member.save()
    did(organiser, 100)
    did(organiser, 20, TODAY - timedelta(days=20))
    did(member, 30, minutes_taken=60)  # what it really took counts, not what was planned
    # 180 minutes in all, agreed two to one.
    assert table(four_weeks(household)) == {"Marit": (120, 120), "Dev": (60, 60)}


def test_only_the_span_counts_and_only_what_is_done(household, organiser):
    did(organiser, 10, date(2026, 2, 16))  # the Monday on which the four weeks begin
    did(organiser, 20, date(2026, 2, 15))
    make_task(household, member=organiser, minutes=40)
    assert four_weeks(household).done == 10


@pytest.mark.parametrize(("weeks", "done"), [("1", 1), ("4", 3), ("12", 7)])
def test_one_four_and_twelve_weeks(household, organiser, weeks, done):
    for minutes, ago in ((1, 0), (2, 3), (4, 11), (8, 12)):
        did(organiser, minutes, TODAY - timedelta(weeks=ago))
    assert ledger(household, span_of({"weeks": weeks}, TODAY, 0)).done == done


def test_days_away_are_taken_off_the_agreed_share(household, organiser, member):
    # The four weeks began on Monday 16 February: 25 days to Thursday 12 March. Dev is away for
    # 15 of them, so the shares are 25 and 10 of 35.
    Absence.objects.create(member=member, starts=date(2026, 2, 16), ends=date(2026, 3, 2))
    did(organiser, 350, LONG_AGO)
    did(organiser, 350)
    found = four_weeks(household)
    assert table(found) == {"Marit": (350, 250), "Dev": (0, 100)}
    assert found.away_words() == (
        "Away: Dev for 15 days. An agreed share counts only the days at home."
    )


def test_kept_stands_beside_done(household, organiser, member):
    did(member, 60, LONG_AGO, kept_by=organiser, kept_minutes=500)
    did(member, 60, kept_by=organiser, kept_minutes=14)
    did(organiser, 60, kept_by=member, kept_minutes=6)
    found = four_weeks(household)
    assert [(line.kept, line.kept_agreed) for line in found.lines] == [(14, 10), (6, 10)]
    answer = found.kept_answer()
    assert answer is not None
    assert (answer.figure, answer.words) == (
        "70 %",
        "of the unseen work is kept by Marit. You agreed 50 %.",
    )


def test_the_answer_names_the_furthest_over_and_blames_nobody(household, organiser, member):
    did(organiser, 1, LONG_AGO)
    did(organiser, 300)
    did(member, 100)
    answer = four_weeks(household).done_answer()
    assert answer is not None
    assert answer.figure == "+1\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}40"
    assert answer.words == (
        "Marit did more than the share you agreed. "
        "Dev did 1\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}40 less."
    )


def test_about_even_is_said_so(household, organiser, member):
    did(organiser, 1, LONG_AGO)
    did(organiser, 100)
    did(member, 110)
    answer = four_weeks(household).done_answer()
    assert answer is not None
    assert (answer.figure, answer.words) == (
        "As agreed",
        "Everybody did about the share you agreed.",
    )


def test_too_few_days_of_ticks_give_no_verdict(household, organiser, member):
    did(organiser, 300, TODAY - timedelta(days=5))
    found = four_weeks(household)
    assert found.wait() == "Four weeks of ticks are needed. 6 days so far."
    assert found.done_answer() is None
    assert found.kept_answer() is None
    assert table(found)["Marit"] == (300, 150)  # the figures are there all the same


def test_nothing_ticked_yet(household, organiser):
    assert four_weeks(household).wait() == "Four weeks of ticks are needed. None so far."


def test_somebody_who_left_stays_in_the_weeks_they_took_part_in(household, organiser, member, now):
    did(organiser, 70)
    did(member, 70, date(2026, 2, 20))
    # Dev lived there for 5 of the 25 days: 140 minutes at 25 to 5.
    member.archived_at = now - timedelta(days=20)
    member.save()
    assert table(four_weeks(household)) == {"Marit": (70, 117), "Dev": (70, 23)}
    later = ledger(household, span_of({"weeks": "1"}, TODAY, 0))
    assert [line.member.name for line in later.lines] == ["Marit"]


def test_another_household_counts_for_nothing(household, organiser, outsider):
    did(outsider, 500)
    assert four_weeks(household).done == 0


def test_an_agreed_share_of_nothing_is_left_out_until_something_is_done(household, organiser):
    toddler = make_member(household, "Io", signs_in=False, age_band="under_5", weight=0)
    assert [line.member for line in four_weeks(household).lines] == [organiser]
    did(toddler, 5)
    assert table(four_weeks(household)) == {"Marit": (0, 5), "Io": (5, 0)}


def test_spans_follow_the_households_own_weeks():
    monday, sunday = span_of({}, TODAY, 0), span_of({}, TODAY, 6)
    assert (monday.first, monday.last, monday.end) == (
        date(2026, 2, 16),
        date(2026, 3, 15),
        TODAY,
    )
    assert (sunday.first, sunday.last) == (date(2026, 2, 15), date(2026, 3, 14))


def test_earlier_and_later_meet_without_gap_or_overlap():
    now = span_of({}, TODAY, 0)
    before = span_of(now.earlier(), TODAY, 0)
    assert before.end == before.last == now.first - timedelta(days=1)
    assert span_of(before.later(TODAY) or {}, TODAY, 0) == now
    assert now.later(TODAY) is None


@pytest.mark.parametrize("weeks", ["", "0", "3", "-4", "4 weeks", "²", "9" * 5000])
def test_a_length_that_makes_no_sense_gives_four_weeks(weeks):
    assert span_of({"weeks": weeks}, TODAY, 0) == Span(
        4, date(2026, 2, 16), date(2026, 3, 15), TODAY
    )


@pytest.mark.parametrize("until", ["x", "0001-01-01", "2026-02-30", "9999-12-31", ""])
def test_an_end_that_makes_no_sense_gives_today(until):
    assert span_of({"until": until}, TODAY, 0).end == TODAY

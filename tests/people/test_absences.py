"""Days away: noted once, changed, taken out and put back, and said in plain words."""

from datetime import date

import pytest

from household.kit.dates import DateWords
from household.people import absences
from household.people.absences import Days, absence_words, now_words
from household.people.models import Absence, Household, Member
from tests.factories import TODAY

pytestmark = pytest.mark.django_db
WORDS = DateWords("dmy")
DAYS = Days(date(2026, 3, 16), date(2026, 3, 22), note="at a friend’s")


def test_noted_once_however_often_it_is_sent(household: Household, member: Member) -> None:
    for _ in range(2):
        absences.add_absence(member=member, days=DAYS)
    assert member.absences.count() == 1
    assert Household.objects.get(pk=household.pk).revision == 1


def test_changed(member: Member) -> None:
    absence = absences.add_absence(member=member, days=DAYS)
    longer = Days(DAYS.starts, date(2026, 3, 29), every_weeks=8)
    for _ in range(2):
        absences.change_absence(absence=absence, days=longer)
    assert absences.days_of(Absence.objects.get()) == longer


def test_taken_out_and_put_back(member: Member) -> None:
    absence = absences.add_absence(member=member, days=DAYS)
    was = absences.remove_absence(absence=absence)
    assert not member.absences.exists()
    absences.add_absence(member=member, days=was)
    assert absences.days_of(Absence.objects.get()) == DAYS


@pytest.mark.parametrize(
    ("days", "sentence"),
    [
        (DAYS, "Away 16 to 22 March: at a friend’s"),
        (Days(date(2026, 3, 13), date(2026, 3, 13)), "Away on Friday 13 March"),
        (Days(date(2027, 3, 13), date(2027, 3, 13)), "Away on 13 March 2027"),
        (Days(date(2027, 3, 13), date(2027, 3, 15)), "Away 13 to 15 March 2027"),
        (
            Days(date(2026, 12, 28), date(2027, 1, 3)),
            "Away 28 December 2026 to 3 January 2027",
        ),
        (
            Days(date(2026, 3, 6), date(2026, 3, 8), every_weeks=2),
            "Away Friday to Sunday every 2 weeks from 6 March",
        ),
        (
            Days(date(2025, 3, 7), date(2025, 3, 7), every_weeks=1, until=date(2026, 6, 26)),
            "Away on Friday every week from 7 March 2025, until 26 June",
        ),
        (
            Days(date(2026, 3, 6), date(2026, 3, 15), every_weeks=4),
            "Away 10 days from Friday every 4 weeks from 6 March",
        ),
    ],
)
def test_said_in_plain_words(days: Days, sentence: str) -> None:
    absence = Absence(**{name: getattr(days, name) for name in Days.__dataclass_fields__})
    assert absence_words(absence, WORDS, TODAY) == sentence


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (Days(TODAY, TODAY), "Away today"),
        (Days(date(2026, 3, 10), date(2026, 3, 15)), "Away until Sunday"),
        (Days(date(2026, 3, 13), date(2026, 3, 20)), "Away from tomorrow"),
        (Days(date(2026, 5, 1), date(2026, 5, 8)), ""),
        (Days(date(2026, 3, 1), date(2026, 3, 8)), ""),
        (Days(date(2026, 1, 1), date(2027, 1, 1)), "Away"),
    ],
)
def test_where_somebody_is_now(member: Member, days: Days, words: str) -> None:
    absences.add_absence(member=member, days=days)
    assert now_words(member, WORDS, TODAY) == words

"""What weeks offer: kept, on a day that has room, changed by hand, and never counted."""

from __future__ import annotations

import contextlib
from datetime import date, timedelta

import pytest
from django.db import connection
from django.db.models import Q
from django.test.utils import CaptureQueriesContext

from household import daily
from household.breathers import actions
from household.breathers.actions import Idea
from household.breathers.models import Breather, Company, Offer
from household.breathers.starter import STARTER
from household.chores.models import Entry, Task
from household.kit.errors import NotAllowed, Refused
from household.overview.ledger import ledger
from household.overview.spans import Span
from household.people.models import Absence, AgeBand, Household, Member
from household.week.ahead import loads
from household.week.assembling import problem_of
from household.week.offering import another
from household.week.queries import read_week
from household.week.together import day_choices, place_again
from tests.breathers.making import make_idea, make_offer, make_private, offered
from tests.factories import NOW, TODAY, make_household, make_member, make_task

pytestmark = pytest.mark.django_db
THIS, NEXT = date(2026, 3, 9), date(2026, 3, 16)
SATURDAY = date(2026, 3, 14)


def test_each_week_has_one_for_each_one_for_two_and_one_for_all(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    actions.add_starter(household=household, now=NOW)
    assert offered(household) == 10
    for starts in (THIS, NEXT):
        found = Offer.objects.filter(starts=starts)
        assert found.filter(company=Company.ALL).count() == 1
        assert found.filter(company=Company.TWO).count() == 1
        alone = found.filter(company=Company.ONESELF)
        assert {each.member_id for each in alone} == {organiser.pk, member.pk, child.pk}
        # Two do not have the same thing in one week while there are others.
        assert len({each.breather_id for each in alone}) == 3
    assert offered(household) == 0, "what a week has it keeps"


def test_the_starter_set_is_added_once_and_stays_away_when_put_away(
    household: Household, organiser: Member
) -> None:
    assert actions.add_starter(household=household, now=NOW) == len(STARTER)
    first = Breather.objects.earliest("id")
    actions.archive_idea(breather=first, now=NOW)
    assert actions.add_starter(household=household, now=NOW) == 0


def test_only_ones_own_and_the_shared_ideas_are_offered(
    household: Household, organiser: Member, member: Member
) -> None:
    make_private(organiser)
    make_idea(household, "Dev’s own", owner=member)
    offered(household)
    for each in Offer.objects.all():
        assert each.breather.owner_id == each.member_id


def test_what_is_not_for_small_children_is_offered_to_the_old_enough_alone(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    """A hard limit as for chores: nobody in it is below the lowest age, whoever they are with."""
    for company in Company:
        make_idea(household, "Along the weir", company=company, min_age=AgeBand.FROM_12)
        make_idea(household, "On the rug", company=company)
    for _ in range(6):
        for offer in Offer.objects.filter(Q(member=child) | Q(other=child) | Q(company="all")):
            assert offer.breather.name == "On the rug"
            with contextlib.suppress(Refused):
                another(offer, NOW)
        offered(household)
    assert Offer.objects.filter(breather__name="Along the weir", member=organiser).exists()


def test_two_who_have_nothing_for_their_age_let_others_have_their_turn(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    make_idea(household, "Along the weir", company=Company.TWO, min_age=AgeBand.FROM_12)
    offered(household)
    pairs = {(each.member, each.other) for each in Offer.objects.all()}
    assert pairs == {(organiser, member)}


@pytest.mark.parametrize("company", Company)
def test_an_idea_made_for_older_ones_is_taken_back_from_the_young(
    household: Household, child: Member, organiser: Member, company: Company
) -> None:
    idea = make_idea(household, "Along the weir", company=company)
    offered(household)
    assert Offer.objects.filter(starts=NEXT).exists()
    older = Idea(company=company, name="Along the weir", min_age=AgeBand.FROM_12)
    actions.change_idea(breather=idea, by=organiser, idea=older, now=NOW)
    left = Offer.objects.filter(starts=NEXT)
    assert {each.member for each in left} == ({organiser} if company == Company.ONESELF else set())


def test_a_day_with_room_is_chosen_and_stays(household: Household, member: Member) -> None:
    make_idea(household, minutes=30)
    for day in range(12, 16):
        if day != 14:
            make_task(household, day=date(2026, 3, day), minutes=60, member=member)
    offered(household)
    offer = Offer.objects.get(starts=THIS)
    assert offer.day == SATURDAY
    make_task(household, day=SATURDAY, minutes=60, member=member)
    offered(household)
    offer.refresh_from_db()
    assert offer.day == SATURDAY


def test_settling_chooses_anew_but_not_what_was_put_by_hand(
    household: Household, member: Member
) -> None:
    make_idea(household, minutes=30)
    offered(household)
    offer = Offer.objects.get(starts=NEXT)
    first = offer.day
    assert first is not None
    make_task(household, day=first, minutes=60, member=member)
    place_again(read_week(household, NEXT, TODAY), NOW)
    offer.refresh_from_db()
    assert offer.day not in (None, first)
    actions.choose_day(offered=offer, day=first, now=NOW)
    place_again(read_week(household, NEXT, TODAY), NOW)
    offer.refresh_from_db()
    assert offer.day == first


def test_who_is_away_is_offered_nothing_and_no_time_for_two(
    household: Household, organiser: Member, member: Member, child: Member
) -> None:
    actions.add_starter(household=household, now=NOW)
    Absence.objects.create(member=child, starts=THIS, ends=THIS + timedelta(days=6))
    offered(household)
    this_week = Offer.objects.filter(starts=THIS)
    assert not this_week.filter(member=child).exists()
    pair = this_week.get(company=Company.TWO)
    assert {pair.member_id, pair.other_id} == {organiser.pk, member.pk}


def test_pairs_come_round_week_by_week(household: Household) -> None:
    for name in ("Ana", "Ben", "Cai"):
        make_member(household, name)
    make_idea(household, "Cards", company=Company.TWO)
    for n in range(3):
        day = TODAY + timedelta(weeks=n)
        daily.run(now=NOW + timedelta(weeks=n), on=day, household=household)
    found = Offer.objects.filter(company=Company.TWO).order_by("starts")[:3]
    assert len({(each.member_id, each.other_id) for each in found}) == 3


def test_another_goes_through_the_list_and_begins_anew(
    household: Household, member: Member
) -> None:
    ideas = {make_idea(household, name).pk for name in ("One", "Two", "Three")}
    offered(household)
    offer = Offer.objects.get(starts=THIS)
    seen = [offer.breather_id]
    for _ in range(3):
        seen.append(another(offer, NOW).pk)
    assert set(seen[:3]) == ideas
    assert seen[3] != seen[2]
    offer.refresh_from_db()
    assert (offer.breather_id, offer.sequence) == (seen[3], 3)


def test_another_from_a_list_of_one_says_so(household: Household, member: Member) -> None:
    make_idea(household)
    offered(household)
    with pytest.raises(Refused, match="no other idea"):
        another(Offer.objects.get(starts=THIS), NOW)


def test_not_this_week_and_after_all(household: Household, member: Member) -> None:
    make_idea(household, "One")
    make_idea(household, "Two")
    offer = make_offer(Breather.objects.get(name="One"), member=member)
    actions.leave_out(offered=offer, now=NOW)
    offered(household)
    # What was not wanted does not count as having had its turn, and nothing else comes instead.
    assert Offer.objects.filter(starts=THIS).count() == 1
    actions.have_back(offered=offer, now=NOW)
    offer.refresh_from_db()
    assert not offer.left_out and offer.sequence == 2


def test_an_idea_that_is_put_away_leaves_the_weeks_to_come_and_the_past_alone(
    household: Household, member: Member
) -> None:
    idea = make_idea(household, "One")
    past = make_offer(idea, member=member, starts=date(2026, 3, 2), day=date(2026, 3, 4))
    offered(household)
    actions.archive_idea(breather=idea, now=NOW)
    assert list(Offer.objects.all()) == [past]
    other = make_idea(household, "Two")
    offered(household)
    assert {each.breather_id for each in Offer.objects.filter(starts__gte=THIS)} == {other.pk}
    actions.restore_idea(breather=idea, now=NOW)
    assert idea.archived_at is None


def test_an_idea_that_becomes_ones_own_is_taken_back_from_the_others(
    household: Household, organiser: Member, member: Member
) -> None:
    idea = make_idea(household)
    offered(household)
    described = Idea(company=Company.ONESELF, name=idea.name, private=True)
    actions.change_idea(breather=idea, by=member, idea=described, now=NOW)
    assert {each.member_id for each in Offer.objects.all()} == {member.pk}
    with pytest.raises(NotAllowed):
        actions.change_idea(breather=idea, by=organiser, idea=described, now=NOW)


def test_the_same_name_twice_is_refused_within_one_list_only(
    household: Household, organiser: Member, member: Member
) -> None:
    secret = Idea(company=Company.ONESELF, name="Juggle", private=True)
    actions.add_idea(by=organiser, idea=secret, now=NOW)
    actions.add_idea(by=member, idea=secret, now=NOW)
    with pytest.raises(Refused, match="already"):
        actions.add_idea(by=member, idea=secret, now=NOW)


def test_only_a_day_of_its_week_may_be_chosen(household: Household, member: Member) -> None:
    offer = make_offer(make_idea(household), member=member)
    with pytest.raises(Refused):
        actions.choose_day(offered=offer, day=NEXT, now=NOW)
    actions.choose_day(offered=offer, day=None, now=NOW)
    offer.refresh_from_db()
    assert offer.day is None and offer.by_hand


def test_the_days_to_choose_from_say_who_has_room(
    household: Household, organiser: Member, member: Member
) -> None:
    idea = make_idea(household, "Cards", company=Company.TWO)
    offer = make_offer(idea, member=organiser, other=member)
    make_task(household, day=TODAY, minutes=30, member=member)
    Absence.objects.create(member=member, starts=SATURDAY, ends=SATURDAY)
    choices = day_choices(offer, read_week(household, THIS, TODAY))
    assert [(each.name, each.words, each.chosen) for each in choices] == [
        ("Thursday 12", "room for Marit", True),
        ("Friday 13", "room for everybody", False),
        ("Sunday 15", "room for everybody", False),
    ]


def test_nothing_of_it_is_counted(household: Household, organiser: Member, member: Member) -> None:
    def counted() -> tuple[object, ...]:
        span = Span(1, THIS, THIS + timedelta(days=6), TODAY)
        week = read_week(household, THIS, TODAY)
        return ledger(household, span), loads(household, TODAY), problem_of(week)

    before = counted()
    actions.add_starter(household=household, now=NOW)
    offered(household)
    assert Offer.objects.exists()
    assert counted() == before
    assert not Task.objects.exists() and not Entry.objects.exists()


def test_the_daily_job_offers_what_a_home_lacks_and_touches_no_other(
    household: Household, member: Member
) -> None:
    make_idea(household)
    elsewhere = make_household(name="Quay House")
    make_member(elsewhere)
    report = daily.run(now=NOW)
    assert report.offered == 2
    assert not Offer.objects.filter(household=elsewhere).exists()
    household.refresh_from_db()
    before = household.revision
    daily.run(now=NOW + timedelta(days=1))
    assert Offer.objects.count() == 2
    household.refresh_from_db()
    assert household.revision == before + 1, "the day's own count and no more"


def test_offering_asks_as_often_for_thirty_ideas_as_for_three(db: None) -> None:
    def queries(count: int) -> int:
        home = make_household()
        for _ in range(3):
            make_member(home)
        for n in range(count):
            make_idea(home, f"Idea {n}", company=list(Company)[n % 3])
        with CaptureQueriesContext(connection) as captured:
            assert offered(home) > 0
        return len(captured)

    assert queries(3) == queries(30)

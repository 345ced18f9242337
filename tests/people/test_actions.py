"""What an organiser changes about members: done once, refused kindly, safe to send twice."""

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from household.kit.errors import Refused
from household.people import actions, marks
from household.people.actions import Particulars, SignIn
from household.people.habits import usual_habits
from household.people.household_form import habits_of
from household.people.models import Household, Hue, Member, Role, Shape
from tests.factories import PASSWORD, make_household, make_member

pytestmark = pytest.mark.django_db


def particulars(**fields: Any) -> Particulars:
    usual: dict[str, Any] = {
        "name": "Ilo",
        "shape": "cross",
        "hue": "teal",
        "role": "member",
        "age_band": "adult",
        "weight": 10,
        "free_minutes": [10] * 7,
    }
    return Particulars(**{**usual, **fields})


def same(member: Member, **fields: Any) -> Particulars:
    """What is said of a member already, with some of it changed."""
    said = {name: getattr(member, name) for name in Particulars.__dataclass_fields__}
    return Particulars(**{**said, **fields})


def revision(household: Household) -> int:
    return Household.objects.get(pk=household.pk).revision


def test_somebody_comes_to_live_here(household: Household) -> None:
    member = actions.add_member(
        household=household,
        particulars=particulars(skills=["driving"], dislikes={"garden": 5}),
        sign_in=SignIn("ilo", PASSWORD),
    )
    kept = Member.objects.get(pk=member.pk)
    assert (kept.name, kept.skills, kept.dislike_of("garden")) == ("Ilo", ["driving"], 5)
    assert kept.account is not None and kept.account.check_password(PASSWORD)
    assert revision(household) == 1


def test_sent_twice_nobody_comes_in_twice(household: Household) -> None:
    actions.add_member(household=household, particulars=particulars())
    with pytest.raises(Refused, match="The teal cross is Ilo’s"):
        actions.add_member(household=household, particulars=particulars())
    assert household.members.count() == 1


def test_refused_sign_in_adds_nobody(household: Household, member: Member) -> None:
    with pytest.raises(Refused):
        actions.add_member(
            household=household, particulars=particulars(), sign_in=SignIn("dev", "wrong-one-26")
        )
    assert not household.members.filter(name="Ilo").exists()


def test_changes_tell_what_changed(member: Member) -> None:
    wanted = same(member, weight=4, theme="dark")
    assert actions.change_member(member=member, particulars=wanted) == {"weight", "theme"}
    assert actions.change_member(member=member, particulars=wanted) == set()
    assert Member.objects.get(pk=member.pk).weight == 4


def test_mark_of_somebody_else_is_refused(organiser: Member, member: Member) -> None:
    wanted = same(member, shape=organiser.shape, hue=organiser.hue)
    with pytest.raises(Refused) as refusal:
        actions.change_member(member=member, particulars=wanted)
    assert refusal.value.field == "mark"


def test_last_organiser_keeps_the_role(organiser: Member, member: Member) -> None:
    with pytest.raises(Refused, match="Marit is the only organiser") as refusal:
        actions.change_member(member=organiser, particulars=same(organiser, role=Role.MEMBER))
    assert refusal.value.field == "role"
    actions.change_member(member=member, particulars=same(member, role=Role.ORGANISER))
    actions.change_member(member=organiser, particulars=same(organiser, role=Role.MEMBER))
    assert not Member.objects.get(pk=organiser.pk).organises


def test_organiser_who_cannot_sign_in_does_not_count(
    household: Household, organiser: Member, now: datetime
) -> None:
    make_member(household, "Greta", role=Role.ORGANISER, signs_in=False)
    with pytest.raises(Refused):
        actions.archive_member(member=organiser, now=now)


def test_last_organiser_stays(organiser: Member, now: datetime) -> None:
    with pytest.raises(Refused):
        actions.archive_member(member=organiser, now=now)
    assert Member.objects.get(pk=organiser.pk).archived_at is None


def test_who_leaves_the_only_household_is_signed_out(
    organiser: Member, member: Member, now: datetime
) -> None:
    assert member.account is not None
    for _ in range(2):
        actions.archive_member(member=member, now=now)
    member.account.refresh_from_db()
    assert member.archived_at == now and not member.account.is_active
    for _ in range(2):
        actions.restore_member(member=member)
    member.account.refresh_from_db()
    assert member.archived_at is None and member.account.is_active


def test_who_lives_elsewhere_too_stays_signed_in(
    organiser: Member, member: Member, now: datetime
) -> None:
    make_member(make_household(name="Quay House"), "Dev", account=member.account)
    actions.archive_member(member=member, now=now)
    assert member.account is not None and member.account.is_active


def test_who_comes_back_gets_a_free_mark_if_theirs_is_taken(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    actions.archive_member(member=member, now=now)
    other = make_member(household, "Ilo", shape=member.shape, hue=member.hue)
    actions.restore_member(member=member)
    assert marks.mark_of(Member.objects.get(pk=member.pk)) != marks.mark_of(other)


def test_household_with_all_marks_taken_refuses_one_more(
    household: Household, organiser: Member, member: Member, now: datetime
) -> None:
    actions.archive_member(member=member, now=now)
    for mark in marks.free(marks.taken(household)):
        make_member(household, signs_in=False, shape=mark.shape, hue=mark.hue)
    with pytest.raises(Refused, match="All 36 marks are taken"):
        actions.restore_member(member=member)


def test_free_marks_that_differ_most_come_first() -> None:
    used = {marks.Mark(Shape.DISC, Hue.BLUE), marks.Mark(Shape.SQUARE, Hue.BRICK)}
    first = marks.free(used)[0]
    assert first.shape not in (Shape.DISC, Shape.SQUARE)
    assert first.hue not in (Hue.BLUE, Hue.BRICK)
    assert len(marks.free(used)) == 34


def test_name_to_sign_in_with_is_changed_and_an_empty_password_kept(member: Member) -> None:
    for _ in range(2):
        actions.let_sign_in(member=member, sign_in=SignIn("devi"))
    assert member.account is not None
    member.account.refresh_from_db()
    assert member.account.username == "devi" and member.account.check_password(PASSWORD)


def test_name_of_somebody_else_is_refused(organiser: Member, member: Member) -> None:
    with pytest.raises(Refused, match="That name is taken"):
        actions.let_sign_in(member=member, sign_in=SignIn("MARIT"))


def test_person_comes_in_from_another_household_by_their_own_password(
    household: Household, outsider: Member
) -> None:
    here = make_member(household, "Sten", signs_in=False)
    with pytest.raises(Refused, match="type that person’s own password"):
        actions.let_sign_in(member=here, sign_in=SignIn("sten", "guessed-it-26"))
    actions.let_sign_in(member=here, sign_in=SignIn("sten", PASSWORD))
    assert Member.objects.get(pk=here.pk).account == outsider.account


def test_password_of_who_lives_elsewhere_too_is_not_changed_from_here(
    household: Household, outsider: Member
) -> None:
    here = make_member(household, "Sten", account=outsider.account)
    with pytest.raises(Refused, match="signs in to another household too"):
        actions.let_sign_in(member=here, sign_in=SignIn("sten", "taken-over-26"))
    assert outsider.account is not None
    outsider.account.refresh_from_db()
    assert outsider.account.check_password(PASSWORD)


def test_same_person_is_not_let_in_twice(household: Household, member: Member) -> None:
    again = make_member(household, "Dev too", signs_in=False)
    with pytest.raises(Refused, match="That is Dev, who lives here"):
        actions.let_sign_in(member=again, sign_in=SignIn("dev", PASSWORD))


def test_habits_tell_what_changed_and_grow_the_revision_once(household: Household) -> None:
    wanted = replace(habits_of(household), first_weekday=6, paper="Letter")
    assert actions.change_household(household=household, habits=wanted) == {
        "first_weekday",
        "paper",
    }
    assert actions.change_household(household=household, habits=wanted) == set()
    kept = Household.objects.get(pk=household.pk)
    assert (kept.first_weekday, kept.paper, kept.revision) == (6, "Letter", 1)


@pytest.mark.parametrize(
    ("country", "zone", "first_weekday", "units", "paper", "language"),
    [
        # First days, units and paper: Unicode CLDR 48.2 supplemental data, as in tests/data.
        ("US", "America/New_York", 6, "US", "Letter", "en-us"),
        ("GB", "Europe/London", 0, "UK", "A4", "en-gb"),
        ("DE", "Europe/Berlin", 0, "metric", "A4", "en-gb"),
    ],
)
def test_country_brings_its_usual_habits(
    country: str, zone: str, first_weekday: int, units: str, paper: str, language: str
) -> None:
    habits = usual_habits("Home", country)
    assert (habits.time_zone, habits.first_weekday) == (zone, first_weekday)
    assert (habits.units, habits.paper, habits.language) == (units, paper, language)

"""Areas: made, changed, put in order, put away and brought back; the month's spotlight."""

from datetime import date, datetime
from decimal import Decimal

import pytest

from household.areas import actions
from household.areas.actions import Description
from household.areas.floor import from_square_metres, to_square_metres
from household.areas.models import Area, Spotlight
from household.areas.queries import areas, spotlight
from household.kit.errors import Refused
from household.people.models import Household, Member
from tests.factories import TODAY, make_area, make_household

pytestmark = pytest.mark.django_db


def names(household: Household) -> list[str]:
    return [area.name for area in areas(household)]


def revision(household: Household) -> int:
    return Household.objects.get(pk=household.pk).revision


def test_new_area_comes_last_and_only_once(household: Household, member: Member) -> None:
    make_area(household, "Kitchen")
    said = Description("Shed", owner=member, floor_area_m2=Decimal("7.5"), tidy_days=14)
    area = actions.add_area(household=household, description=said)
    assert names(household) == ["Kitchen", "Shed"]
    assert (area.owner, area.floor_area_m2, area.tidy_days) == (member, Decimal("7.5"), 14)
    with pytest.raises(Refused, match="There is an area called “Shed” already") as refusal:
        actions.add_area(household=household, description=said)
    assert refusal.value.field == "name"
    assert names(household) == ["Kitchen", "Shed"] and revision(household) == 1


def test_same_name_is_free_in_another_household(household: Household) -> None:
    make_area(make_household(name="Quay House"), "Shed")
    actions.add_area(household=household, description=Description("Shed"))
    assert names(household) == ["Shed"]


def test_change_tells_what_changed(household: Household, member: Member) -> None:
    area = make_area(household, "Kitchen", clean_days=7)
    said = Description("Kitchen", owner=member, clean_days=3)
    assert actions.change_area(area=area, description=said) == {"owner", "clean_days"}
    assert actions.change_area(area=area, description=said) == set()
    assert revision(household) == 1


def test_change_to_a_name_in_use_is_refused(household: Household) -> None:
    make_area(household, "Kitchen")
    shed = make_area(household, "Shed")
    with pytest.raises(Refused):
        actions.change_area(area=shed, description=Description("kitchen"))
    assert names(household) == ["Kitchen", "Shed"]


@pytest.mark.parametrize(
    ("place", "order"), [(0, "CABD"), (1, "ACBD"), (3, "ABDC"), (9, "ABDC"), (2, "ABCD")]
)
def test_area_is_put_at_a_place_and_stays_there(
    household: Household, place: int, order: str
) -> None:
    for name in "ABCD":
        make_area(household, name, position=5)  # as after an import: all at one place
    area = Area.objects.get(name="C")
    for _ in range(2):
        actions.place_area(area=area, place=place)
        assert "".join(names(household)) == order


def test_area_put_away_has_no_place(household: Household, now: datetime) -> None:
    area = make_area(household, "Shed", archived_at=now)
    with pytest.raises(Refused, match="Bring back “Shed” first"):
        actions.place_area(area=area, place=0)


def test_put_away_and_brought_back_at_the_end(household: Household, now: datetime) -> None:
    shed = make_area(household, "Shed")
    make_area(household, "Kitchen")
    for _ in range(2):
        actions.archive_area(area=shed, now=now)
    assert names(household) == ["Kitchen"]
    for _ in range(2):
        actions.restore_area(area=shed)
    assert names(household) == ["Kitchen", "Shed"]
    assert revision(household) == 2


def test_name_taken_meanwhile_keeps_an_area_away(household: Household, now: datetime) -> None:
    old = make_area(household, "Shed", archived_at=now)
    make_area(household, "Shed")
    with pytest.raises(Refused, match="“Shed” already"):
        actions.restore_area(area=old)
    assert Area.objects.get(pk=old.pk).archived_at == now


def test_one_spotlight_a_month(household: Household) -> None:
    kitchen, shed = make_area(household, "Kitchen"), make_area(household, "Shed")
    for area in (kitchen, shed, shed):
        actions.set_spotlight(household=household, month=TODAY, area=area)
    lit = spotlight(household, TODAY)
    assert lit is not None and (lit.area, lit.month) == (shed, date(2026, 3, 1))
    assert spotlight(household, date(2026, 4, 1)) is None
    for _ in range(2):
        actions.set_spotlight(household=household, month=TODAY, area=None)
    assert spotlight(household, TODAY) is None


def test_spotlight_goes_out_with_its_area(household: Household, now: datetime) -> None:
    area = make_area(household, "Shed")
    for month in (date(2026, 2, 1), TODAY):
        actions.set_spotlight(household=household, month=month, area=area)
    actions.archive_area(area=area, now=now)
    assert [row.month for row in Spotlight.objects.all()] == [date(2026, 2, 1)]


def test_areas_of_who_leaves_are_given_up(household: Household, member: Member) -> None:
    make_area(household, "Shed", owner=member)
    assert actions.give_up_areas(member=member) == 1
    assert actions.give_up_areas(member=member) == 0
    assert Area.objects.get().owner is None


# NIST SP 811 (2008), appendix B.8: 1 square foot = 9.290304 E-02 square metres, exact
# (read from memory; it follows from 1 ft = 0.3048 m).
@pytest.mark.parametrize(
    ("typed", "square_metres"),
    [("100", "9.2903"), ("1", "0.0929"), ("0", "0.0000"), ("10000", "929.0304")],
)
def test_square_feet_are_kept_in_square_metres(typed: str, square_metres: str) -> None:
    home = Household(units="US")
    kept = to_square_metres(Decimal(typed), home)
    assert kept == Decimal(square_metres)
    assert from_square_metres(kept, home) == Decimal(typed)


def test_every_tenth_of_a_square_foot_comes_back_as_typed() -> None:
    home = Household(units="US")
    for tenths in (*range(1, 3000, 7), 999_999):
        typed = Decimal(tenths) / 10
        assert from_square_metres(to_square_metres(typed, home), home) == typed


@pytest.mark.parametrize("units", ["metric", "UK"])
def test_square_metres_stay_as_they_are(units: str) -> None:
    home = Household(units=units)
    assert to_square_metres(Decimal("12.5"), home) == Decimal("12.5")
    assert str(from_square_metres(Decimal("12.0000"), home)) == "12"

"""Making a household and filling it. Each may be sent twice: what is there is not made again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max

from household import daily
from household.areas.models import Area
from household.calc import spreading
from household.calc.ages import AgeBand
from household.calc.recurrence.repeat import Kind, Repeat, Window, for_saving
from household.chores import actions as chores
from household.chores.horizon import horizon_of
from household.chores.models import Chore, Missed, Who
from household.chores.replanning import people_changed
from household.demo.load import Loaded, keep_sign_ins, load_demo
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people import actions as people
from household.people import marks
from household.people.actions import Particulars, SignIn, touch_household
from household.people.habits import Habits
from household.people.models import Household, Member, Role, default_free_minutes
from household.start.offers import Offer
from household.start.queries import free_together, living_here, minutes_by_day
from household.start.starter import AreaKind

THERE_IS_ONE = "This hub has a household already. Sign in to it instead."


@dataclass(frozen=True, slots=True)
class Newcomer:
    name: str
    age_band: str
    role: str = ""  # empty: as the age has it


@dataclass(frozen=True, slots=True)
class NewArea:
    name: str
    kind: AreaKind


@dataclass(frozen=True, slots=True)
class Pick:
    """An offer that is taken up. who: a value of Who, or a member's id for always them."""

    offer: Offer
    name: str
    minutes: int
    who: str


# An agreed share, and minutes free on a weekday and on a day of the weekend, to begin with.
# Common practice, no source; both are changed under Members.
BY_AGE: Mapping[AgeBand, tuple[int, int, int]] = {
    AgeBand.UNDER_5: (1, 5, 10),
    AgeBand.FROM_5: (2, 10, 15),
    AgeBand.FROM_8: (3, 15, 25),
    AgeBand.FROM_12: (5, 20, 40),
    AgeBand.FROM_16: (7, 25, 50),
}


@writes
def make_household(*, habits: Habits, name: str, sign_in: SignIn) -> Member:
    """The first household and its organiser, who plans and signs in."""
    if Household.objects.exists():
        raise Refused(THERE_IS_ONE)
    household = Household.objects.create(**habits.as_fields())
    newcomer = Newcomer(name, AgeBand.ADULT, Role.ORGANISER)
    return people.add_member(
        household=household, particulars=_particulars(household, newcomer), sign_in=sign_in
    )


def make_demo(*, now: datetime) -> Member:
    """The demo household instead, with its history and its lists; returns who plans it."""
    made = _load_demo(now)
    daily.run(now=now, household=made.household)
    keep_sign_ins(made)
    return next(each for each in made.members.values() if each.organises and each.account)


@writes
def _load_demo(now: datetime) -> Loaded:
    if Household.objects.exists():
        raise Refused(THERE_IS_ONE)
    return load_demo(now=now)


@writes
def add_people(
    *, household: Household, newcomers: Sequence[Newcomer], now: datetime
) -> list[Member]:
    """Add those who do not live here yet, told by their names, each with a free mark."""
    known = {member.name.casefold() for member in living_here(household)}
    added = [
        people.add_member(household=household, particulars=_particulars(household, each))
        for each in newcomers
        if each.name.casefold() not in known
    ]
    if added:
        people_changed(household=household, now=now)
    return added


@writes
def add_areas(*, household: Household, wanted: Sequence[NewArea]) -> list[Area]:
    """Add the areas whose names are not used yet; a child's own room is the child's."""
    here = Area.objects.filter(household=household, archived_at=None)
    used = {name.casefold() for name in here.values_list("name", flat=True)}
    last = here.aggregate(last=Max("position"))["last"]
    owners = {room_of(member.name): member for member in living_here(household)}
    fresh = {each.name.casefold(): each for each in wanted if each.name.casefold() not in used}
    added = Area.objects.bulk_create(
        Area(
            household=household,
            name=each.name,
            kind=each.kind.kind,
            owner=owners.get(each.name),
            position=(-1 if last is None else last) + step,
            tidy_days=each.kind.tidy_days,
            clean_days=each.kind.clean_days,
            deep_days=each.kind.deep_days,
        )
        for step, each in enumerate(fresh.values(), start=1)
    )
    if added:
        touch_household(household.pk)
    return added


@writes
def add_chores(
    *, household: Household, actor: Member, picks: Sequence[Pick], now: datetime
) -> list[Chore]:
    """Add the chores that are not there yet, begun on days that spread the work.

    The organiser who adds them keeps them in mind until that is handed over.
    """
    standing = Chore.objects.filter(household=household, archived_at=None)
    there = set(standing.values_list("area_id", "name", "fixed_id"))
    fresh = [each for each in picks if (each.offer.area.pk, each.name, _fixed(each)) not in there]
    if not fresh:
        return []
    today, everybody = household.today(now), living_here(household)
    begun = spreading.spread(
        [spreading.Wanted(each.offer.key, each.minutes, each.offer.repeat) for each in fresh],
        free=free_together(everybody),
        today=today,
        taken=minutes_by_day(household, today),
    )
    before = spreading.first_turns(
        [
            spreading.Round(
                each.offer.key,
                spreading.week_minutes(each.offer.repeat, each.minutes),
                [member.pk for member in each.offer.may],
            )
            for each in fresh
            if each.who == Who.TURNS
        ],
        {member.pk: member.weight for member in everybody},
    )
    return chores.create_chores(
        household=household,
        actor=actor,
        now=now,
        horizon=horizon_of(today),
        rows=[
            {
                **_row(each, begun[each.offer.key]),
                "keeper": actor,
                "next_member_id": before.get(each.offer.key),
            }
            for each in fresh
        ],
    )


def room_of(name: str) -> str:
    return f"{name}’s room"


def _particulars(household: Household, newcomer: Newcomer) -> Particulars:
    band = AgeBand(newcomer.age_band)
    weight, weekday, weekend = BY_AGE.get(band, (10, 0, 0))
    free = [weekday] * 5 + [weekend] * 2 if band in BY_AGE else default_free_minutes()
    mark = next(iter(marks.free(marks.taken(household))), None)
    if mark is None:
        raise Refused("All 36 marks are taken. Put somebody away first.")
    return Particulars(
        name=newcomer.name,
        shape=mark.shape,
        hue=mark.hue,
        role=newcomer.role or usual_role(band),
        age_band=band,
        weight=weight,
        free_minutes=free,
    )


def usual_role(band: AgeBand) -> Role:
    """Up to 15 a child, from 16 on a member."""
    return Role.MEMBER if band >= AgeBand.FROM_16 else Role.CHILD


def _row(pick: Pick, begun: spreading.Begun) -> dict[str, Any]:
    common = pick.offer.common
    fixed = _fixed(pick)
    lapses = common.missed == Missed.LAPSE
    return {
        **common.columns,
        **_rhythm(for_saving(begun.repeat)),
        "area": pick.offer.area,
        "name": pick.name,
        "minutes": pick.minutes,
        "who": Who.FIXED if fixed else pick.who,
        "fixed_id": fixed,
        "time": common.time if begun.repeat.window == Window.DAY else None,
        "grace_days": begun.grace_days if lapses else 0,
    }


def _rhythm(repeat: Repeat) -> dict[str, Any]:
    after_done = repeat.kind is Kind.AFTER_DONE
    return {
        "repeat": repeat.kind,
        "rule": repeat.rule,
        "every": repeat.every if after_done else 1,
        "unit": repeat.unit,
        "window": repeat.window,
        "months": [] if len(repeat.months) == 12 else sorted(repeat.months),
        "on_holiday": repeat.on_holiday,
        "on_away": repeat.on_away,
        "starts": repeat.start,
    }


def _fixed(pick: Pick) -> int | None:
    return int(pick.who) if pick.who.isdigit() else None

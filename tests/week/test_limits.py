"""No plan that the share-out makes, or takes by hand, breaks a hard limit: with real rows."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest

from household.calc.ages import AgeBand
from household.calc.limits import Hazard
from household.chores.eligibility import task_refusal
from household.chores.models import Task, Who
from household.kit.errors import Refused
from household.people.models import Absence, Household, Member, Skill
from household.week import actions, sitting
from household.week.models import Preset
from household.week.queries import Week, read_week
from tests.factories import TODAY, make_chore, make_household, make_member, make_task

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 16)
BANDS = [band.value for band in AgeBand]
HAZARDS = ([], [], [], [], *([hazard.value] for hazard in Hazard))
SKILLS = ("", "", "", *Skill.values)
RULES = ("FREQ=WEEKLY;BYDAY=TU", "FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,TH", "FREQ=WEEKLY")


@pytest.fixture(autouse=True)
def short_search(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sitting, "SECONDS", 0.5)
    monkeypatch.setattr(sitting, "WAIT_SECONDS", 1.0)


def random_home(seed: int) -> Household:
    """Two to five people of any age, some away, and a dozen tasks with limits of every kind."""
    rng = Random(seed)
    home = make_household()
    people = [_person(home, rng) for _ in range(rng.randint(2, 5))]
    for number in range(8):
        who = rng.choice([Who.ANYONE, Who.TURNS, Who.FIXED])
        make_chore(
            home,
            f"Chore {number}",
            minutes=rng.choice([5, 15, 40]),
            rule=rng.choice(RULES),
            window=rng.choice(["day", "week"]),
            who=who,
            fixed=rng.choice(people) if who == Who.FIXED else None,
            may=rng.sample([one.pk for one in people], 2) if rng.random() < 0.4 else [],
            min_age=rng.choice(BANDS),
            hazards=rng.choice(HAZARDS),
            needs_skill=rng.choice(SKILLS),
        )
    for number in range(4):
        first = MONDAY + timedelta(days=rng.randrange(7))
        make_task(
            home,
            f"One-off {number}",
            opens=first,
            closes=max(first, MONDAY + timedelta(days=rng.randrange(7))),
            day=None,
            member=rng.choice([None, *people]),
        )
    return home


def _person(home: Household, rng: Random) -> Member:
    one = make_member(
        home,
        signs_in=False,
        age_band=rng.choice([*BANDS, "adult", "adult"]),
        skills=rng.sample(Skill.values, rng.randint(0, len(Skill.values))),
        weight=rng.choice([5, 10, 20]),
        free_minutes=[rng.choice([0, 30, 60]) for _ in range(7)],
    )
    if rng.random() < 0.5:
        first = MONDAY + timedelta(days=rng.randrange(7))
        Absence.objects.create(member=one, starts=first, ends=first + timedelta(days=2))
    return one


def broken(week: Week) -> list[str]:
    """What in the draft a hard limit forbids, worked out from the rows alone."""
    found = []
    people = {member.pk: member for member in week.members}
    for task in week.tasks:
        place = week.plan.draft.get(str(task.pk))
        if place is None:
            continue
        member, day = people[place["member"]], date.fromisoformat(place["day"])
        if task_refusal(task, member):
            found.append(f"{task}: {task_refusal(task, member)}")
        if day in week.away[member.pk]:
            found.append(f"{task}: {member} is away")
        late = task.closes < week.first or task.opens > week.last
        if not late and not max(task.opens, week.first) <= day <= min(task.closes, week.last):
            found.append(f"{task}: not on {day}")
        if task.chore and task.chore.who == Who.FIXED and task.chore.fixed_id != member.pk:
            found.append(f"{task}: set aside for somebody else")
    return found


@pytest.mark.parametrize("seed", range(12))
def test_no_share_out_of_a_random_home_breaks_a_hard_limit(seed: int, now: object) -> None:
    home = random_home(seed)
    week = read_week(home, MONDAY, TODAY)
    week.plan.preset = Preset.values[seed % 3]
    plan = sitting.share(week)
    shared = read_week(home, MONDAY, TODAY)
    assert plan.places
    assert broken(shared) == []
    # What could not be placed is said: nobody may do it on any of its days.
    names = set(plan.outcome["unplaced"])
    for task in shared.tasks:
        if shared.must_be_placed(task) and str(task.pk) not in plan.places:
            assert task.name in names
            assert not _could_be_placed(shared, task)


def _could_be_placed(week: Week, task: Task) -> bool:
    """Whether some member may do it and is at home on one of its days."""
    for member in week.members:
        others = task.chore and task.chore.who == Who.FIXED and task.chore.fixed_id != member.pk
        own = task.chore is None and task.member_id not in (None, member.pk)
        if others or own or task_refusal(task, member):
            continue
        if any(day not in week.away[member.pk] for day in week.allowed_days(task)):
            return True
    return False


@pytest.mark.parametrize("seed", range(4))
def test_by_hand_exactly_what_the_limits_forbid_is_refused(seed: int, now: object) -> None:
    home = random_home(100 + seed)
    for task in read_week(home, MONDAY, TODAY).tasks[:6]:
        for member in read_week(home, MONDAY, TODAY).members:
            week = read_week(home, MONDAY, TODAY)
            forbidden = bool(task_refusal(task, member)) or MONDAY in week.away[member.pk]
            try:
                actions.put(week=week, task=task, member=member, day=MONDAY)
            except Refused:
                assert forbidden
            else:
                assert not forbidden

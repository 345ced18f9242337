"""A lived-in home for benchmarks and size tests: thirty tasks on one Today, and a past.

Names, lengths and cautions vary as they do in a real home. Invented data.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import cycle, product

from household.areas.models import Area
from household.chores.models import Chore, Did, Entry, State, Task
from household.people.models import Household, Member
from tests.factories import make_area, make_household, make_member

# name, area, minutes, level, hazards
CHORES: tuple[tuple[str, str, int, str, tuple[str, ...]], ...] = (
    ("Empty the dishwasher", "Kitchen", 8, "tidy", ()),
    ("Wipe the worktops and hob", "Kitchen", 12, "clean", ("hot_water_or_steam",)),
    ("Clear out the fridge", "Kitchen", 20, "deep", ()),
    ("Scrub the oven", "Kitchen", 45, "deep", ("cleaning_agents",)),
    ("Take out rubbish and recycling", "Kitchen", 6, "tidy", ()),
    ("Descale the kettle", "Kitchen", 10, "clean", ("cleaning_agents",)),
    ("Bathroom basin and mirror", "Upstairs bathroom", 10, "clean", ("cleaning_agents",)),
    ("Toilet, inside and out", "Upstairs bathroom", 10, "clean", ("cleaning_agents",)),
    ("Shower screen", "Upstairs bathroom", 15, "deep", ("cleaning_agents",)),
    ("Fresh towels for everybody", "Upstairs bathroom", 5, "tidy", ()),
    ("Change the beds", "Bedrooms", 25, "clean", ()),
    ("Put clothes away", "Bedrooms", 15, "tidy", ()),
    ("Vacuum the stairs", "Hall and stairs", 18, "clean", ()),
    ("Shoes and coats back in place", "Hall and stairs", 5, "tidy", ()),
    ("Dust shelves and sills", "Living room", 20, "clean", ()),
    ("Cushions, blankets, papers", "Living room", 7, "tidy", ()),
    ("Water the house plants", "Living room", 10, "tidy", ()),
    ("Clean the windows", "Living room", 40, "deep", ("ladder",)),
    ("Sort the white wash", "Utility room", 8, "tidy", ()),
    ("Iron five shirts", "Utility room", 30, "tidy", ("hot_water_or_steam",)),
    ("Empty the dryer's filter", "Utility room", 3, "clean", ()),
    ("Feed the hens", "Garden", 10, "tidy", ()),
    ("Weed the front bed", "Garden", 35, "tidy", ()),
    ("Mow the lawn", "Garden", 50, "tidy", ("blades",)),
    ("Sweep the yard", "Garden", 15, "tidy", ()),
    ("Pay what is due this week", "Desk", 20, "tidy", ()),
    ("Answer the school's letter", "Desk", 10, "tidy", ()),
    ("Walk the dog before supper", "Hall and stairs", 30, "tidy", ()),
    ("Plan four suppers", "Kitchen", 20, "tidy", ()),
    ("Check the smoke alarms", "Hall and stairs", 10, "clean", ("ladder",)),
)
NAMES = ("Marit", "Dev", "Oona", "Bastian")


@dataclass(frozen=True)
class Home:
    household: Household
    members: list[Member]  # the first is an organiser, whose Today is long
    chores: list[Chore]
    today: date


def full_home(now: datetime, *, tasks: int = 30) -> Home:
    """A home of four whose first member has `tasks` tasks on Today: late, timed, any day, pool."""
    household = make_household(daily_at=now)
    today = household.today(now)
    Household.objects.filter(pk=household.pk).update(daily_on=today)
    members = [
        make_member(household, name, role="member" if n else "organiser")
        for n, name in enumerate(NAMES)
    ]
    areas: dict[str, Area] = {}
    for _, area, *_ in CHORES:
        areas[area] = areas.get(area) or make_area(household, area)
    chores = Chore.objects.bulk_create(
        Chore(
            household=household,
            area=areas[area],
            name=name,
            minutes=minutes,
            level=level,
            hazards=list(hazards),
            repeat="rule",
            rule="FREQ=WEEKLY",
            starts=today,
            rhythm="",
            keeper=member,
            next_due=None,
        )
        for (name, area, minutes, level, hazards), member in zip(
            CHORES, cycle(members), strict=False
        )
    )
    Task.objects.bulk_create(
        _task(chores[n % len(chores)], n, members[0], today) for n in range(tasks)
    )
    Task.objects.bulk_create(_task(chores[n], 1, members[1 + n % 3], today) for n in range(12))
    household.refresh_from_db()
    return Home(household, members, chores, today)


def _task(chore: Chore, number: int, member: Member, today: date) -> Task:
    """Of ten, one is late, one has an hour, one may be done all week and one is nobody's."""
    sort = number % 10
    opens = today - timedelta(days=3) if sort == 0 else today
    closes = today + timedelta(days=3) if sort in (4, 7) else opens
    return Task(
        household=chore.household,
        chore=chore,
        occurrence=None,
        name=chore.name,
        area=chore.area,
        level=chore.level,
        minutes=chore.minutes,
        opens=opens,
        closes=closes,
        day=opens if opens == closes else None,
        time=time(18, 30) if sort == 5 else None,
        member=None if sort == 7 else member,
    )


def add_past(home: Home, *, weeks: int, now: datetime, each_week: int = 1) -> None:
    """Every chore done so often a week by one or another, and the entries that tell it."""
    tasks, entries = [], []
    for week, again in product(range(1, weeks + 1), range(each_week)):
        for number, chore in enumerate(home.chores):
            day = home.today - timedelta(weeks=week) + timedelta(days=(number + 2 * again) % 7)
            if day >= home.today:
                continue
            who = home.members[(week + number + again) % len(home.members)]
            done_at = now - (home.today - day)
            task = _task(chore, 1, who, day)
            task.occurrence = day
            task.state = State.DONE
            task.done_on, task.done_at, task.done_by = day, done_at, who
            task.kept_by, task.kept_minutes = chore.keeper, 2
            task.sequence = 1
            tasks.append(task)
    Task.objects.bulk_create(tasks)
    for task in tasks:
        assert task.done_at is not None
        entries.append(
            Entry(
                household=home.household,
                task=task,
                chore=task.chore,
                area=task.area,
                actor=task.done_by,
                did=Did.TICKED,
                at=task.done_at,
                before={"state": "open", "done_at": None, "done_on": None, "done_by_id": None},
                after={"state": "done", "done_on": str(task.done_on)},
            )
        )
    Entry.objects.bulk_create(entries)

"""What this week and the next offer of breathers and together time.

A week is offered its ideas once, as soon as there are any, and keeps them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from household.breathers import actions, queries
from household.breathers.models import Breather, Company, Offer
from household.calc.ages import AgeBand
from household.calc.breathers import Pair, next_of, next_pair
from household.calc.history import week_of
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.models import Household
from household.people.queries import members
from household.week.queries import Week, read_week
from household.week.rooms import place, rooms_of, use_up

Have = set[tuple[date, str, int | None]]


def weeks_from(household: Household, today: date) -> tuple[date, date]:
    """The first days of this week and of the next."""
    first, _ = week_of(today, household.first_weekday)
    return first, first + timedelta(days=7)


@dataclass
class Offering:
    """A household's ideas and all that was offered, with what is being offered now."""

    household: Household
    ideas: list[Breather]
    past: list[queries.Past]
    bands: dict[int, AgeBand]
    found: list[Offer] = field(default_factory=list)

    @classmethod
    def of(cls, household: Household, *, but: Offer | None = None) -> Offering:
        ideas = Breather.objects.filter(household=household, archived_at=None)
        bands = dict(members(household).values_list("pk", "age_band"))
        return cls(
            household,
            list(ideas),
            queries.history(household, but=but),
            {pk: AgeBand(band) for pk, band in bands.items()},
        )

    def companies(self) -> set[str]:
        return {each.company for each in self.ideas}

    def next_idea(
        self, starts: date, company: str, people: Sequence[int], passed: Sequence[int] = ()
    ) -> Breather | None:
        """The idea that comes next for these people; nobody by name means all of them."""
        member = people[0] if company == Company.ONESELF else None
        youngest = min(self.bands[pk].rank for pk in people or self.bands)
        own = {
            each.pk: each
            for each in self.ideas
            if each.company == company
            and each.owner_id in (None, member)
            and AgeBand(each.min_age).rank <= youngest
        }
        before = [
            each.breather
            for each in self.past
            if each.company == company and (member is None or each.member == member)
        ]
        seed = f"{self.household.pk} {starts} {company} {member or ''}"
        # What others have this week comes later: two do not queue for the same bath.
        others = Counter(each.breather for each in self.past if each.starts == starts)
        found = next_of(own.keys(), before, seed, passed=passed, rank=lambda key: others[key])
        return None if found is None else own[found]

    def next_two(self, starts: date, everybody: Sequence[int], here: Sequence[int]) -> Pair | None:
        before = [
            (each.member, each.other)
            for each in self.past
            if each.company == Company.TWO and each.member and each.other
        ]
        seed = f"{self.household.pk} {starts} pair"
        without: list[Pair] = []  # nothing on the list is for these two
        while pair := next_pair(everybody, before, seed, here=here, passed=without):
            if self.next_idea(starts, Company.TWO, pair):
                return pair
            without.append(pair)
        return None

    def add(self, offered: Offer) -> None:
        self.found.append(offered)
        ids = (offered.member_id, offered.other_id, offered.breather_id)
        self.past.append(queries.Past(offered.starts, offered.company, *ids))


@writes
def fill(household: Household, *, today: date, now: datetime) -> int:
    """Offer what this week and the next lack; returns how much that was."""
    weeks = weeks_from(household, today)
    offering = Offering.of(household)
    if not offering.ideas:
        return 0
    have = queries.offered_in(household, weeks)
    people = list(members(household).values_list("pk", flat=True))
    for starts in weeks:
        if _lacks(offering, starts, people, have):
            _fill_week(offering, read_week(household, starts, today), have, now)
    return actions.offer(household=household, found=offering.found)


def _lacks(offering: Offering, starts: date, people: Sequence[int], have: Have) -> bool:
    companies = offering.companies()
    wanted: Have = {(starts, company, None) for company in companies - {Company.ONESELF.value}}
    if Company.ONESELF in companies:
        wanted |= {(starts, Company.ONESELF.value, pk) for pk in people}
    return not wanted <= have


def _fill_week(offering: Offering, week: Week, have: Have, now: datetime) -> None:
    """What is for most people finds its day first, and takes its room from what comes after."""
    rooms = rooms_of(week)
    days = [day for day in week.days if day >= week.today]
    here = [m.pk for m in week.members if any(not rooms[m.pk][day].away for day in days)]
    for company, people in _wanted(offering, week, here, have):
        idea = offering.next_idea(week.first, company, people)
        if idea is None:
            continue
        offered = Offer(
            household=offering.household,
            starts=week.first,
            company=company,
            member_id=people[0] if people else None,
            other_id=people[1] if len(people) > 1 else None,
            breather=idea,
            changed_at=now,
        )
        offered.day = place(offered, week.members, rooms, days)
        use_up(offered, week.members, rooms)
        offering.add(offered)


def _wanted(
    offering: Offering, week: Week, here: Sequence[int], have: Have
) -> list[tuple[str, tuple[int, ...]]]:
    """(company, the ids of those in it) of what the week lacks; nobody by name for all."""
    starts, wanted = week.first, list[tuple[str, tuple[int, ...]]]()
    if (starts, Company.ALL, None) not in have and len(here) > 1:
        wanted.append((Company.ALL, ()))
    if (starts, Company.TWO, None) not in have and Company.TWO in offering.companies():
        pair = offering.next_two(starts, [member.pk for member in week.members], here)
        wanted += [(Company.TWO, pair)] if pair else []
    return wanted + [
        (Company.ONESELF, (pk,)) for pk in here if (starts, Company.ONESELF, pk) not in have
    ]


@writes
def another(offered: Offer, now: datetime) -> Breather:
    """Offer the next idea in its place; when all were turned down, they come round again."""
    offering = Offering.of(offered.household, but=offered)
    people = [pk for pk in (offered.member_id, offered.other_id) if pk is not None]
    here = offered.breather_id
    idea = offering.next_idea(offered.starts, offered.company, people, [*offered.passed, here])
    if idea is None:
        offered.passed = []
        idea = offering.next_idea(offered.starts, offered.company, people, [here])
    if idea is None:
        raise Refused("There is no other idea on that list yet. Add one first.")
    actions.take_another(offered=offered, breather=idea, now=now)
    return idea

"""How far each member is ahead of or behind the agreed share, carried from week to week."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from django.db.models import Sum
from django.db.models.functions import Coalesce

from household.calc.fairness import carry
from household.calc.free_time import away_days
from household.calc.history import week_of, weeks_back
from household.calc.ledger import Stake, agreed_minutes
from household.chores.models import State, Task
from household.people.models import Household, Member
from household.people.queries import absences_of

WEEKS = 12
# No more than this is carried over: one odd month must not weigh on anybody for ever.
LIMIT = 90


def balances(household: Household, members: tuple[Member, ...], before: date) -> dict[int, int]:
    """Minutes above (+) or below (−) the agreed share over the weeks before the day `before`."""
    weeks = weeks_back(before, WEEKS + 1, household.first_weekday)
    spans = [span for span in weeks if span[1] < before]
    if not spans:
        return {member.pk: 0 for member in members}
    first, last = min(span[0] for span in spans), max(span[1] for span in spans)
    done = _done_by_week(household, first, last)
    balance = {member.pk: 0 for member in members}
    for start, end in sorted(spans):
        minutes = done.get(start)
        if not minutes:
            continue
        agreed = agreed_minutes(
            sum(minutes[m.pk] for m in members),
            [Stake(m.weight, _days_home(m, start, end)) for m in members],
        )
        for member, share in zip(members, agreed, strict=True):
            balance[member.pk] = carry(balance[member.pk], minutes[member.pk], share, LIMIT)
    return balance


def _days_home(member: Member, first: date, last: date) -> int:
    return 7 - len(away_days(absences_of(member), first, last))


def _done_by_week(household: Household, first: date, last: date) -> dict[date, dict[int, int]]:
    rows = (
        Task.objects.filter(
            household=household,
            state=State.DONE,
            done_on__range=(first, last),
            done_by__isnull=False,
        )
        .order_by()
        .values_list("done_on", "done_by")
        .annotate(total=Sum(Coalesce("minutes_taken", "minutes")))
    )
    found: dict[date, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for day, member, total in rows:
        assert day is not None and member is not None
        found[week_of(day, household.first_weekday)[0]][member] += total
    return found

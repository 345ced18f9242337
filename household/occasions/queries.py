"""Reading occasions, their lead jobs and tasks, and the gifts that a member may see."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

from django.db.models import Prefetch, Q, QuerySet

from household.calc.occasions import Falls, Leap, between, lead_window, next_on
from household.occasions.models import (
    Gift,
    LeadJob,
    LeadTask,
    Occasion,
    OccasionSettings,
)
from household.people.models import Household, Member


def leap_of(household: Household) -> Leap:
    """Where the household keeps 29 February in a common year."""
    found = OccasionSettings.objects.filter(household=household).values_list("leap", flat=True)
    return Leap(found.first() or Leap.FEBRUARY)


def occasions(household: Household, *, archived: bool = False) -> QuerySet[Occasion]:
    """With those whom each concerns."""
    return (
        Occasion.objects.filter(household=household, archived_at__isnull=not archived)
        .select_related("household")
        .prefetch_related(Prefetch("concerns", Member.objects.order_by("id")))
    )


def concerned(occasion: Occasion) -> frozenset[int]:
    """Ids of the members whom it concerns, as prefetched."""
    return frozenset(each.pk for each in occasion.concerns.all())


@dataclass(frozen=True, slots=True)
class Coming:
    """An occasion and one of its days."""

    occasion: Occasion
    falls: Falls


def coming(found: Iterable[Occasion], today: date, leap: Leap) -> list[Coming]:
    """The next day of each occasion, the nearest first; those that are over are left out.

    One that lasts several days is still to come until its last day.
    """
    days = []
    for each in found:
        falls = _not_over(each, today, leap)
        if falls is not None:
            days.append(Coming(each, falls))
    return sorted(days, key=lambda each: (each.falls.day, each.occasion.name, each.occasion.pk))


def _not_over(occasion: Occasion, today: date, leap: Leap) -> Falls | None:
    begun = date.fromordinal(max(1, today.toordinal() - (occasion.lasts - 1)))
    return next_on(occasion.as_rule(), begun, leap)


def of_days(household: Household, first: date, last: date) -> dict[date, list[Coming]]:
    """What is on each day, from `first` to `last`; what lasts several days is on each of them.

    Whom they concern is not read.
    """
    rows = list(Occasion.objects.filter(household=household, archived_at=None))
    # Today asks this at every change: most homes need no more than the one query.
    hangs = any((each.month, each.day) == (2, 29) for each in rows)
    leap = leap_of(household) if hangs else Leap.FEBRUARY
    found: dict[date, list[Coming]] = defaultdict(list)
    for each in rows:
        begin = date.fromordinal(max(1, first.toordinal() - (each.lasts - 1)))
        for falls in between(each.as_rule(), begin, last, leap):
            for number in range(each.lasts):
                day = date.fromordinal(falls.day.toordinal() + number)
                if first <= day <= last:
                    found[day].append(Coming(each, falls))
    return dict(found)


# Lead jobs -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Jobs:
    """The live lead jobs of a household: of each kind, and of occasions that have their own."""

    by_kind: dict[str, list[LeadJob]]
    by_occasion: dict[int, list[LeadJob]]

    @property
    def reach(self) -> int:
        """Days from the first day of the longest lead job to its occasion."""
        every = chain(*self.by_kind.values(), *self.by_occasion.values())
        return max((job.days_before + job.window_days for job in every), default=0)

    def of(self, occasion: Occasion) -> Sequence[LeadJob]:
        if occasion.own_jobs:
            return self.by_occasion.get(occasion.pk, ())
        return self.by_kind.get(occasion.kind, ())


def jobs_of(household: Household) -> Jobs:
    return jobs_among(LeadJob.objects.filter(household=household, archived_at=None))


def jobs_among(found: Iterable[LeadJob]) -> Jobs:
    by_kind: dict[str, list[LeadJob]] = defaultdict(list)
    by_occasion: dict[int, list[LeadJob]] = defaultdict(list)
    for job in found:
        if job.occasion_id is None:
            by_kind[job.kind].append(job)
        else:
            by_occasion[job.occasion_id].append(job)
    return Jobs(by_kind, by_occasion)


def sees_job(job: LeadJob, occasion: Occasion, member_id: int, living: Collection[int]) -> bool:
    """Whether a member may know of a lead job."""
    return member_id not in kept_from(job, concerned(occasion), living)


def kept_from(job: LeadJob, about: frozenset[int], living: Collection[int]) -> frozenset[int]:
    """Ids of those from whom a job's task is kept: nobody, where nobody else could do it.

    `about` are the ids of those whom the occasion concerns, `living` of those who live there now.
    """
    if not job.private:
        return frozenset()
    others = set(job.may or living) - about
    return about if others & set(living) else frozenset()


@dataclass(frozen=True, slots=True)
class Lead:
    """One lead job of one year's occasion, and the task it became, if it is written already."""

    occasion: Occasion
    job: LeadJob
    falls: Falls
    opens: date
    closes: date
    written: LeadTask | None


Written = dict[tuple[int, int, int], LeadTask]


def written(found: Iterable[Occasion]) -> Written:
    """Lead tasks of these occasions by (occasion, job, year), each with its task and people."""
    rows = LeadTask.objects.filter(occasion__in=[each.pk for each in found]).select_related(
        "task", "task__member", "task__done_by"
    )
    return {(row.occasion_id, row.job_id, row.year): row for row in rows}


def leads(found: Iterable[Coming], jobs: Jobs, known: Written) -> list[Lead]:
    """The lead jobs of these days, in the order of their last days."""
    rows = []
    for each in found:
        for job in jobs.of(each.occasion):
            opens, closes = lead_window(each.falls.day, job.days_before, job.window_days)
            key = (each.occasion.pk, job.pk, each.falls.year)
            rows.append(Lead(each.occasion, job, each.falls, opens, closes, known.get(key)))
    return sorted(rows, key=lambda lead: (lead.closes, lead.occasion.pk, lead.job.pk))


def in_good_time(
    household: Household, first: date, last: date, member: Member, living: Collection[int]
) -> list[Lead]:
    """Lead jobs that are to be done from `first` to `last` and that this member may know of."""
    found = list(occasions(household))
    leap = leap_of(household)
    jobs = jobs_of(household)
    until = date.fromordinal(last.toordinal() + 366)
    days = [
        Coming(each, falls)
        for each in found
        for falls in between(each.as_rule(), first, until, leap)
    ]
    return [
        lead
        for lead in leads(days, jobs, written(found))
        if first <= lead.closes <= last and sees_job(lead.job, lead.occasion, member.pk, living)
    ]


# Gifts ---------------------------------------------------------------------------------------


def gifts_seen_by(member: Member, *, archived: bool = False) -> QuerySet[Gift]:
    """All but those that are for this member: the only way in which gifts are read."""
    return (
        Gift.objects.filter(household=member.household, archived_at__isnull=not archived)
        .exclude(pk__in=Gift.members.through.objects.filter(member=member).values("gift"))
        .exclude(who__iexact=member.name)
        .select_related("occasion", "added_by")
        .prefetch_related(Prefetch("members", Member.objects.order_by("id")))
    )


def gifts_for(occasion: Occasion, member: Member) -> QuerySet[Gift]:
    """Gifts of an occasion, and earlier ones for those whom it concerns, without the viewer's."""
    about = concerned(occasion)
    same = Q(occasion=occasion) | Q(
        pk__in=Gift.members.through.objects.filter(member__in=about).values("gift")
    )
    if occasion.who:
        same |= Q(who__iexact=occasion.who)
    return gifts_seen_by(member).filter(same)

"""Who did how much, and who keeps how much in mind, against what the household agreed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from household.calc import free_time
from household.calc.ledger import Stake, agreed_minutes, share_percent, verdict
from household.chores.models import State, Task
from household.kit.charts import Amount, BarChart, bar_chart
from household.kit.words import duration, listed, signed_duration
from household.overview.spans import Span
from household.people.models import Household, Member
from household.people.queries import absences_of

NUMBERS = {1: "One week", 4: "Four weeks", 12: "Twelve weeks"}


@dataclass(frozen=True, slots=True)
class Line:
    """One member's minutes within a span."""

    member: Member
    days_home: int
    done: int
    kept: int
    agreed: int
    kept_agreed: int


@dataclass(frozen=True, slots=True)
class Answer:
    figure: str
    words: str
    is_words: bool = False


@dataclass(frozen=True, slots=True)
class Helped:
    """Minutes done by somebody from outside: in nobody's share, and lowering none."""

    name: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Ledger:
    span: Span
    lines: tuple[Line, ...]
    first_tick: date | None
    helped: tuple[Helped, ...] = ()

    @property
    def done(self) -> int:
        return sum(line.done for line in self.lines)

    @property
    def kept(self) -> int:
        return sum(line.kept for line in self.lines)

    @property
    def is_settled(self) -> bool:
        """Whether the span holds ticks from its first day on: before that, nothing is judged."""
        return self.first_tick is not None and self.first_tick <= self.span.first

    def chart(self) -> BarChart:
        return bar_chart(
            [
                Amount(
                    line.member.name,
                    line.member.shape,
                    line.member.hue,
                    line.done,
                    line.agreed,
                    line.kept,
                    line.kept_agreed,
                )
                for line in self.lines
            ],
            kept=True,
        )

    def wait(self) -> str:
        """While there is too little to tell: how much is needed, and how much there is."""
        if self.is_settled:
            return "" if self.done else "Nothing was ticked in this time."
        needed = f"{NUMBERS[self.span.weeks]} of ticks {_are(self.span.weeks)} needed."
        if self.first_tick is None or self.first_tick > self.span.end:
            return f"{needed} None so far."
        days = (self.span.end - self.first_tick).days + 1
        return f"{needed} {days} day{'' if days == 1 else 's'} so far."

    def done_answer(self) -> Answer | None:
        """The furthest over the agreed share, as a figure and a sentence that blames nobody."""
        if not self.is_settled or not self.done or len(self.lines) < 2:
            return None
        found = verdict([line.done for line in self.lines], [line.agreed for line in self.lines])
        if found is None:
            return Answer("As agreed", "Everybody did about the share you agreed.", True)
        words = f"{self._name(found.over)} did more than the share you agreed."
        if found.under is not None:
            words += f" {self._name(found.under)} did {duration(found.under_by)} less."
        return Answer(signed_duration(found.over_by), words)

    def kept_answer(self) -> Answer | None:
        """Whoever keeps most of the unseen work, against the agreed share of it."""
        if not self.is_settled or not self.kept or len(self.lines) < 2:
            return None
        most = max(self.lines, key=lambda line: line.kept)
        part = share_percent(most.kept, self.kept)
        agreed = share_percent(most.kept_agreed, self.kept)
        return Answer(
            f"{part} %",
            f"of the unseen work is kept by {most.member.name}. You agreed {agreed} %.",
        )

    def away_words(self) -> str:
        """How days away are counted, where anybody was away."""
        away = [line for line in self.lines if line.days_home < self.span.days]
        if not away:
            return ""
        each = [f"{line.member.name} for {_days(self.span.days - line.days_home)}" for line in away]
        return f"Away: {listed(each)}. An agreed share counts only the days at home."

    def helped_words(self) -> str:
        """Helpers from outside: 3 h 20. Apart from the members, whose shares it leaves alone."""
        if not self.helped:
            return ""
        total = duration(sum(each.minutes for each in self.helped))
        each = listed([f"{each.name} {duration(each.minutes)}" for each in self.helped])
        who = f" ({each})" if len(self.helped) > 1 else f" ({self.helped[0].name})"
        return f"Helpers from outside: {total}{who}. It counts in nobody’s share."

    def _name(self, index: int) -> str:
        return self.lines[index].member.name


def ledger(household: Household, span: Span) -> Ledger:
    """Three windowed queries and one for people, however long the household has been at it."""
    done, helpers = _done(household, span)
    kept = _kept(household, span)
    people = [
        member
        for member in _people(household, span)
        if member.archived_at is None or member.pk in done or member.pk in kept
    ]
    people = [each for each in people if each.weight or each.pk in done or each.pk in kept]
    stakes = [Stake(each.weight, _days_home(household, each, span)) for each in people]
    dones = [done.get(each.pk, 0) for each in people]
    kepts = [kept.get(each.pk, 0) for each in people]
    agreed = agreed_minutes(sum(dones), stakes)
    kept_agreed = agreed_minutes(sum(kepts), stakes)
    return Ledger(
        span=span,
        lines=tuple(
            Line(each, stakes[i].days_home, dones[i], kepts[i], agreed[i], kept_agreed[i])
            for i, each in enumerate(people)
        ),
        first_tick=first_tick(household),
        helped=helpers,
    )


def first_tick(household: Household) -> date | None:
    """The day of the household's first tick: one step into the index by day."""
    return (
        Task.objects.filter(household=household, done_on__isnull=False)
        .order_by("done_on")
        .values_list("done_on", flat=True)
        .first()
    )


def _done(household: Household, span: Span) -> tuple[dict[int, int], tuple[Helped, ...]]:
    """Minutes done by member, and apart from them by helpers from outside, most first."""
    rows = (
        _done_tasks(household, span)
        .order_by()
        .values_list("done_by_id", "helper")
        .annotate(total=Sum(Coalesce("minutes_taken", "minutes")))
    )
    members: dict[int, int] = {}
    helpers: list[Helped] = []
    for member, helper, minutes in rows:
        if member is not None:
            members[member] = minutes
        elif helper:
            helpers.append(Helped(helper, minutes))
    return members, tuple(sorted(helpers, key=lambda each: (-each.minutes, each.name)))


def _kept(household: Household, span: Span) -> dict[int, int]:
    rows = (
        _done_tasks(household, span)
        .filter(kept_by__isnull=False)
        .order_by()
        .values_list("kept_by_id")
        .annotate(total=Sum("kept_minutes"))
    )
    return {member: minutes for member, minutes in rows if member is not None and minutes}


def _done_tasks(household: Household, span: Span) -> QuerySet[Task]:
    return Task.objects.filter(
        household=household, state=State.DONE, done_on__range=(span.first, span.end)
    )


def _people(household: Household, span: Span) -> QuerySet[Member]:
    """Those who live there now, and those who left within the span or after it."""
    return (
        Member.objects.filter(
            Q(archived_at=None) | Q(archived_at__date__gte=span.first), household=household
        )
        .prefetch_related("absences")
        .order_by("id")
    )


def _days_home(household: Household, member: Member, span: Span) -> int:
    end = span.end
    if member.archived_at is not None:
        end = min(end, household.today(member.archived_at))
    if end < span.first:
        return 0
    away = free_time.away_days(absences_of(member), span.first, end)
    return (end - span.first + timedelta(days=1)).days - len(away)


def _are(weeks: int) -> str:
    return "is" if weeks == 1 else "are"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"

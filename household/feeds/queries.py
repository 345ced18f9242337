"""Reading feeds, subscriptions and their events."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet

from household.calc.busy import WAKING, Span, busy_minutes
from household.feeds.models import BusyEvent, Feed, Subscription
from household.people.models import Household, Member, Role


@dataclass(frozen=True, slots=True)
class Knock:
    """What must be known of a feed before anything of it is worked out."""

    feed_id: int
    revision: int
    time_zone: str
    last_fetched_at: datetime | None


# Plain SQL: most polls are answered with "not modified", and putting this query together from
# model fields would take longer than running it.
_KNOCK = """
    SELECT f.id, h.revision, h.time_zone, f.last_fetched_at
    FROM household_feed f
    JOIN household_household h ON h.id = f.household_id
    JOIN household_member o ON o.id = f.owner_id
    LEFT JOIN household_member m ON m.id = f.member_id
    WHERE f.stopped_at IS NULL AND o.archived_at IS NULL AND m.archived_at IS NULL
        AND (o.role <> 'child' OR f.member_id = f.owner_id) AND """
_BY_HASH = ("f.token_hash = %s", "f.previous_hash = %s AND f.previous_until > %s")


def knock(token_hash: str, now: datetime) -> Knock | None:
    """The feed behind an address, by the hash of its token; None where there is none for now.

    A feed ends with its owner or its member leaving, and shows a child nothing but its own.
    """
    moment = connection.ops.adapt_datetimefield_value(now)
    with connection.cursor() as cursor:
        tries: list[list[Any]] = [[token_hash], [token_hash, moment]]
        for condition, values in zip(_BY_HASH, tries, strict=True):
            cursor.execute(_KNOCK + condition, values)
            row = cursor.fetchone()
            if row is not None:
                return Knock(row[0], row[1], row[2], _aware(row[3]))
    return None


def _aware(moment: Any) -> datetime | None:
    """SQLite hands out moments without their zone, which is always UTC."""
    if moment is None:
        return None
    assert isinstance(moment, datetime)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def whole(feed_id: int) -> Feed:
    return Feed.objects.select_related("household", "owner", "member", "area").get(pk=feed_id)


def feeds_for(member: Member) -> QuerySet[Feed]:
    """A member's own calendars; an organiser sees, and may stop, everybody's."""
    feeds = Feed.objects.select_related("owner", "member", "area").filter(
        household=member.household, owner__archived_at=None
    )
    return feeds if member.role == Role.ORGANISER else feeds.filter(owner=member)


def subscriptions(household: Household) -> QuerySet[Subscription]:
    """The calendars taken in, without their contents."""
    live = Q(member=None) | Q(member__archived_at=None)
    return (
        Subscription.objects.select_related("member", "household")
        .defer("content")
        .filter(live, household=household, archived_at=None)
    )


def due_subscriptions(now: datetime) -> QuerySet[Subscription]:
    """Those to be looked at now, and those whose kept copy was worked out too long ago."""
    live = Q(member=None) | Q(member__archived_at=None)
    return (
        Subscription.objects.select_related("household")
        .filter(live, archived_at=None, next_fetch_at__lte=now)
        .order_by("next_fetch_at", "id")
    )


def events_between(household: Household, first: date, last: date) -> QuerySet[BusyEvent]:
    """All foreign events of these days, for the pages of a day, a week or a month."""
    return (
        BusyEvent.objects.select_related("subscription", "subscription__member")
        .defer("subscription__content")
        .filter(
            subscription__in=subscriptions(household).values("pk"), first__lte=last, last__gte=first
        )
        .order_by("first", "starts_at", "id")
    )


@dataclass(frozen=True, slots=True)
class Foreign:
    """A foreign event as pages need it. `member_id` and `who` are None and "" for nobody's.

    `counts`: its time is taken from that of the member. The title is empty where it is hidden.
    """

    span: Span
    title: str
    busy: bool
    member_id: int | None
    who: str
    counts: bool


_FOREIGN = (
    "first",
    "last",
    "starts_at",
    "ends_at",
    "title",
    "busy",
    "subscription__member_id",
    "subscription__member__name",
    "subscription__busy_counts",
)


def foreign_events(household: Household, first: date, last: date) -> list[Foreign]:
    """All foreign events of these days, in one query; whole days before times."""
    rows = events_between(household, first, last).order_by().values_list(*_FOREIGN)
    found = [
        Foreign(Span(*row[:4]), row[4], row[5], row[6], row[7] or "", row[6] is not None and row[8])
        for row in rows
    ]
    return sorted(found, key=lambda each: (each.span.starts_at or _EARLY, each.title, each.who))


_EARLY = datetime.min.replace(tzinfo=UTC)


def busy_by_day(household: Household, first: date, last: date) -> dict[int, dict[date, int]]:
    """Minutes of waking time that foreign events take, by member id and day; none where 0."""
    return busy_of(foreign_events(household, first, last), household, first, last)


def busy_of(
    events: Iterable[Foreign], household: Household, first: date, last: date
) -> dict[int, dict[date, int]]:
    """The same, of events that are read already."""
    spans: dict[int, list[Span]] = defaultdict(list)
    for event in events:
        if event.busy and event.counts and event.member_id is not None:
            spans[event.member_id].append(event.span)
    return {member_id: _by_day(own, first, last, household) for member_id, own in spans.items()}


def _by_day(
    spans: Iterable[Span], first: date, last: date, household: Household
) -> dict[date, int]:
    by_day: dict[date, list[Span]] = defaultdict(list)
    for span in spans:
        for ordinal in range(
            max(span.first, first).toordinal(), min(span.last, last).toordinal() + 1
        ):
            by_day[date.fromordinal(ordinal)].append(span)
    minutes = {
        day: busy_minutes(day, own, WAKING, household.time_zone) for day, own in by_day.items()
    }
    return {day: count for day, count in minutes.items() if count}

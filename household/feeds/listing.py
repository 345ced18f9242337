"""The calendars page: each calendar in words, with what can be done with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from urllib.parse import urlencode

from django.urls import reverse

from household.feeds.actions import mark_of
from household.feeds.kinds import about
from household.feeds.models import BusyEvent, Feed, Subscription
from household.kit.dates import DateWords
from household.people.models import Household, Member


@dataclass(frozen=True, slots=True)
class FeedLine:
    label: str
    about: str
    details: str
    fetched: str
    owner: str  # empty for one's own
    stopped: bool
    mark: str
    renew_url: str  # empty where it is somebody else's
    stop_url: str
    start_url: str


@dataclass(frozen=True, slots=True)
class SubscriptionLine:
    label: str
    source: str
    whose: str
    details: str
    looked: str
    problem: str
    notes: str
    url: str


def feed_lines(feeds: Iterable[Feed], member: Member, now: datetime) -> list[FeedLine]:
    household = member.household
    return [_feed_line(feed, member, household, now) for feed in feeds]


def _feed_line(feed: Feed, member: Member, household: Household, now: datetime) -> FeedLine:
    at = [household.pk, feed.pk]
    own = feed.owner_id == member.pk
    return FeedLine(
        label=feed.label,
        about=about(feed),
        details=_details(feed),
        fetched=_fetched(feed, household, now),
        owner="" if own else feed.owner.name,
        stopped=feed.stopped_at is not None,
        mark=mark_of(feed),
        renew_url=reverse("feeds:renew", args=at) if own else "",
        stop_url=reverse("feeds:stop", args=at),
        start_url=reverse("feeds:start", args=at),
    )


def _details(feed: Feed) -> str:
    parts = []
    if feed.hide_titles:
        parts.append("titles hidden")
    if not feed.include_done:
        parts.append("without done tasks")
    if feed.alarm_at is not None:
        parts.append(f"reminds at {feed.alarm_at:%H:%M}")
    if feed.alarm_minutes is not None:
        parts.append(f"reminds {feed.alarm_minutes} minutes before")
    return ", ".join(parts)


def _fetched(feed: Feed, household: Household, now: datetime) -> str:
    """When it was last asked for. It is noted once an hour, and so said no more exactly."""
    if feed.last_fetched_at is None:
        return "Not asked for yet"
    words, today = DateWords(household.date_order), household.today(now)
    at = words.moment(feed.last_fetched_at, household.zone, today)
    who = client_of(feed.last_agent)
    return f"Asked for at {at}{f' by {who}' if who else ''}"


# Parts of the names by which calendar programs ask, and what people call them.
CLIENTS = (
    ("Google-Calendar", "Google Calendar"),
    ("dataaccessd", "an iPhone or iPad"),
    ("iOS/", "an iPhone or iPad"),
    ("iCal/", "a Mac"),
    ("CalendarAgent", "a Mac"),
    ("Outlook", "Outlook"),
    ("Microsoft", "Outlook"),
    ("Thunderbird", "Thunderbird"),
    ("ICSx5", "ICSx⁵ on Android"),
    ("Android", "an Android device"),
    ("Mozilla/", "a web browser"),
)


def client_of(agent: str) -> str:
    """Which program asked, as far as its name tells; "" where it is unknown."""
    return next((words for part, words in CLIENTS if part in agent), "")


def subscription_lines(
    rows: Iterable[Subscription], household: Household, now: datetime
) -> list[SubscriptionLine]:
    return [subscription_line(row, household, now) for row in rows]


def subscription_line(row: Subscription, household: Household, now: datetime) -> SubscriptionLine:
    counts = row.member is not None and row.busy_counts
    parts = [
        "busy times count" if counts else "for information only",
        "" if row.show_titles else "titles hidden",
    ]
    return SubscriptionLine(
        label=row.label,
        source="a file" if row.is_file else row.host,
        whose=f"{row.member}’s time" if row.member else "nobody’s time",
        details=", ".join(part for part in parts if part),
        looked=_looked(row, household, now),
        problem=row.problem,
        notes=row.notes,
        url=reverse("feeds:subscription", args=[household.pk, row.pk]),
    )


def _looked(row: Subscription, household: Household, now: datetime) -> str:
    if row.fetched_at is None:
        return "" if row.problem else "It is looked at within the next minutes"
    words, today = DateWords(household.date_order), household.today(now)
    at = words.moment(row.fetched_at, household.zone, today)
    return f"Read in at {at}" if row.is_file else f"Looked at {at}"


@dataclass(frozen=True, slots=True)
class EventLine:
    when: str
    time: str
    title: str
    busy: bool
    chore_url: str  # a chore made from it; empty for who may not make one
    occasion_url: str  # an occasion made from it


def event_line(event: BusyEvent, household: Household, today: date, add_chore: str) -> EventLine:
    """`add_chore` is the address of a new chore's page, for who may make one."""
    words, zone = DateWords(household.date_order), household.zone
    when = words.near(event.first, today)
    if event.first != event.last:
        when = words.span(event.first, event.last)
    time = "all day"
    if event.starts_at is not None and event.ends_at is not None:
        time = f"{event.starts_at.astimezone(zone):%H:%M}"
        if event.ends_at > event.starts_at:
            time += f" to {event.ends_at.astimezone(zone):%H:%M}"
    chore = {"name": event.title[:80], "starts": event.first.isoformat(), "counted": "once"}
    lasts = (event.last - event.first).days + 1
    occasion = {"kind": "event", "name": event.title[:80], "day": event.first.isoformat()}
    occasion |= {"lasts": str(lasts)} if lasts > 1 else {}
    add_occasion = reverse("occasions:add", args=[household.pk])
    return EventLine(
        when=f"{when[:1].upper()}{when[1:]}",
        time=time,
        title=event.title or ("Busy" if event.busy else "Something"),
        busy=event.busy,
        chore_url=f"{add_chore}?{urlencode(chore)}" if add_chore else "",
        occasion_url=f"{add_occasion}?{urlencode(occasion)}",
    )

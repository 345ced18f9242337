"""Making, renewing and stopping calendars."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID

from household.areas.models import Area
from household.feeds.kinds import KINDS
from household.feeds.models import OVERLAP, Feed
from household.kit.errors import Conflict, NotAllowed
from household.kit.secret_address import hash_of, new_token
from household.kit.writing import writes
from household.people.models import Member, Role


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a calendar is to show. `member` and `area` count only where its kind needs them."""

    kind: str
    label: str
    member: Member | None = None
    area: Area | None = None
    hide_titles: bool = False
    include_done: bool = True
    alarm_at: time | None = None
    alarm_minutes: int | None = None


@writes
def make_feed(*, owner: Member, wanted: Wanted, now: datetime, key: UUID) -> tuple[Feed, str]:
    """Make a calendar; returns it with its token, which is not kept and cannot be told again."""
    if Feed.objects.filter(household=owner.household, key=key).exists():
        raise Conflict("This calendar is made already. Ask for a new address if you need one.")
    kind = KINDS[wanted.kind]
    member = wanted.member if kind.needs == "member" else None
    if owner.role == Role.CHILD and (not kind.for_children or member != owner):
        raise NotAllowed("You can make a calendar of your own tasks.")
    token = new_token()
    feed = Feed.objects.create(
        household=owner.household,
        owner=owner,
        kind=wanted.kind,
        member=member,
        area=wanted.area if kind.needs == "area" else None,
        label=wanted.label,
        hide_titles=wanted.hide_titles,
        include_done=wanted.include_done,
        alarm_at=wanted.alarm_at,
        alarm_minutes=wanted.alarm_minutes,
        token_hash=hash_of(token),
        key=key,
        created_at=now,
    )
    return feed, token


@writes
def renew_feed(*, feed: Feed, standing: str, now: datetime) -> str:
    """A new address; the one before it works for a week more, so that nothing goes blank.

    `standing` is the mark of the address that is to be replaced (`mark_of`): a form that is
    sent twice replaces it once. Returns the new token.
    """
    if mark_of(feed) != standing:
        raise Conflict("It has a new address already, which was shown when it was made.")
    token = new_token()
    feed.previous_hash, feed.previous_until = feed.token_hash, now + OVERLAP
    feed.token_hash = hash_of(token)
    feed.stopped_at = None
    feed.save(update_fields=["previous_hash", "previous_until", "token_hash", "stopped_at"])
    return token


def mark_of(feed: Feed) -> str:
    """Tells one address of a feed from the next; of no use for finding it."""
    return feed.token_hash[:12]


@writes
def stop_feed(*, feed: Feed, now: datetime) -> None:
    """The address answers no more."""
    Feed.objects.filter(pk=feed.pk, stopped_at=None).update(stopped_at=now)


@writes
def start_feed(*, feed: Feed) -> None:
    """The address answers again."""
    Feed.objects.filter(pk=feed.pk).update(stopped_at=None)


@writes
def note_fetch(*, feed_id: int, agent: str, now: datetime) -> None:
    Feed.objects.filter(pk=feed_id).update(last_fetched_at=now, last_agent=agent)

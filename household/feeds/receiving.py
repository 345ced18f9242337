"""Taking calendars in: subscribing, importing a file, looking again, keeping the last good copy."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from uuid import UUID

from django.conf import settings

from household.calc.foreign_calendar import CalendarRefused, Reading
from household.feeds.allowed import Allowed
from household.feeds.fetching import Fetched, FetchProblem, checked, fetch
from household.feeds.models import BusyEvent, Subscription
from household.feeds.queries import due_subscriptions
from household.feeds.reading import read_apart
from household.kit.errors import Conflict, Refused
from household.kit.writing import writes
from household.people.actions import touch_calendars
from household.people.models import Household, Member

log = logging.getLogger(__name__)
EVERY: Final = timedelta(hours=1)
LONGEST_WAIT: Final = timedelta(hours=24)
GIVE_UP_AFTER: Final = timedelta(days=7)
WORKED_OUT_FOR: Final = timedelta(days=7)
BACK: Final = timedelta(days=14)
AHEAD: Final = timedelta(days=385)
AT_ONCE: Final = 20  # subscriptions a round: the daily job waits meanwhile
MOST_SUBSCRIPTIONS: Final = 30
GIVEN_UP = "It was tried for a week. Nothing is fetched any more until you ask for it."


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody wants to take in. `member` is whose time its busy events take, if anybody's."""

    label: str
    member: Member | None
    busy_counts: bool = True
    show_titles: bool = True


@writes
def subscribe(
    *, household: Household, wish: Wish, url: str, now: datetime, key: UUID
) -> Subscription:
    """Look at an address from now on; the first time within minutes, in the background."""
    try:
        parts = checked(url)
    except FetchProblem as problem:
        raise Refused(problem.message, field="url") from None
    return _new(household, wish, now, key, url=parts.geturl(), next_fetch_at=now)


def import_file(
    *, household: Household, wish: Wish, content: bytes, now: datetime, key: UUID
) -> Subscription:
    """Take in a file once."""
    reading = _read(content, household, wish.show_titles, household.today(now))
    return _import(household, wish, content, reading, now, key)


@writes
def _import(
    household: Household, wish: Wish, content: bytes, reading: Reading, now: datetime, key: UUID
) -> Subscription:
    row = _new(household, wish, now, key, content=content, fetched_at=now)
    _put_events(row, reading, now)
    return row


def _new(
    household: Household, wish: Wish, now: datetime, key: UUID, **fields: object
) -> Subscription:
    own = Subscription.objects.filter(household=household)
    if own.filter(key=key).exists():
        raise Conflict("This calendar is taken in already.")
    if own.filter(archived_at=None).count() >= MOST_SUBSCRIPTIONS:
        raise Refused(f"A household takes in {MOST_SUBSCRIPTIONS} calendars at most.")
    touch_calendars(household.pk)
    return Subscription.objects.create(
        household=household,
        label=wish.label,
        member=wish.member,
        busy_counts=wish.busy_counts,
        show_titles=wish.show_titles,
        created_at=now,
        key=key,
        **fields,
    )


@writes
def take_out(*, subscription: Subscription, now: datetime) -> None:
    """Show it no more and look at it no more; it can be taken in again as it was."""
    Subscription.objects.filter(pk=subscription.pk).update(archived_at=now)
    touch_calendars(subscription.household_id)


@writes
def take_back(*, subscription: Subscription, now: datetime) -> None:
    Subscription.objects.filter(pk=subscription.pk).update(archived_at=None)
    if not subscription.is_file:
        _look_now(subscription, now)
    touch_calendars(subscription.household_id)


@writes
def look_again(*, subscription: Subscription, now: datetime) -> None:
    """Ask for the address in the next round, also where it was given up."""
    if not subscription.is_file:
        _look_now(subscription, now)


def _look_now(subscription: Subscription, now: datetime) -> None:
    Subscription.objects.filter(pk=subscription.pk).update(
        next_fetch_at=now, failures=0, failing_since=None
    )


# The background job --------------------------------------------------------------------------


def refresh_due(now: datetime) -> int:
    """Look at every calendar whose time has come; returns at how many. Not for requests."""
    rows = list(due_subscriptions(now)[:AT_ONCE])
    for row in rows:
        try:
            refresh(row, now)
        except Exception:
            # The loop's edge: one calendar that goes wrong must not keep the others waiting.
            log.exception("subscription %s could not be looked at", row.pk)
            _failed(row, "Something went wrong here while it was read.", now)
    _renew_files(now)
    return len(rows)


def refresh(row: Subscription, now: datetime) -> None:
    """Fetch one calendar and keep it, or keep the last good copy and say why."""
    try:
        fetched = fetch(
            row.url,
            etag=row.etag if row.content else "",
            last_modified=row.last_modified if row.content else "",
            allowed=Allowed(settings.FETCH_ALLOW_HOSTS),
        )
        content = fetched.body if fetched.body is not None else bytes(row.content or b"")
        reading = None
        if fetched.body is not None or _is_old(row, now):
            today = row.household.today(now)
            reading = _read(content, row.household, row.show_titles, today)
    except FetchProblem as problem:
        _failed(row, problem.message, now)
    except Refused as refusal:
        _failed(row, refusal.message, now)
    else:
        _succeeded(row, fetched, reading, now)


def _is_old(row: Subscription, now: datetime) -> bool:
    """Whether its repeats were worked out too long ago, or in another time zone."""
    if row.expanded_on is None or row.expanded_zone != row.household.time_zone:
        return True
    return row.household.today(now) - row.expanded_on >= WORKED_OUT_FOR


def _read(content: bytes, household: Household, titles: bool, today: date) -> Reading:
    try:
        return read_apart(
            content,
            zone=household.time_zone,
            first=today - BACK,
            last=today + AHEAD,
            titles=titles,
        )
    except CalendarRefused as refusal:
        raise Refused(str(refusal)) from None


@writes
def _succeeded(row: Subscription, fetched: Fetched, reading: Reading | None, now: datetime) -> None:
    row.fetched_at, row.next_fetch_at = now, now + EVERY
    row.failures, row.failing_since, row.problem = 0, None, ""
    fields = ["fetched_at", "next_fetch_at", "failures", "failing_since", "problem"]
    if fetched.body is not None:
        row.content, row.etag, row.last_modified = (
            fetched.body,
            fetched.etag,
            fetched.last_modified,
        )
        fields += ["content", "etag", "last_modified"]
    row.save(update_fields=fields)
    if reading is not None:
        _put_events(row, reading, now)
        touch_calendars(row.household_id)


@writes
def _failed(row: Subscription, sentence: str, now: datetime) -> None:
    """Wait twice as long each time, up to a day; after a week of it, stop and say so."""
    row.failures = min(row.failures + 1, 1000)
    row.failing_since = row.failing_since or now
    row.next_fetch_at = now + min(EVERY * 2 ** min(row.failures - 1, 10), LONGEST_WAIT)
    kept = " What was read before still stands." if row.fetched_at else ""
    if now - row.failing_since >= GIVE_UP_AFTER:
        row.next_fetch_at = None
        kept = f" {GIVEN_UP}{kept}"
    row.problem = f"{sentence}{kept}"[:300]
    row.save(update_fields=["failures", "failing_since", "next_fetch_at", "problem"])


def _put_events(row: Subscription, reading: Reading, now: datetime) -> None:
    BusyEvent.objects.filter(subscription=row).delete()
    BusyEvent.objects.bulk_create(
        [
            BusyEvent(
                subscription=row,
                first=event.first,
                last=event.last,
                starts_at=event.starts_at,
                ends_at=event.ends_at,
                busy=event.busy,
                title=event.title,
            )
            for event in reading.events
        ],
        batch_size=500,
    )
    row.notes = " ".join(reading.notes)[:300]
    row.expanded_on, row.expanded_zone = row.household.today(now), row.household.time_zone
    row.save(update_fields=["notes", "expanded_on", "expanded_zone"])


def _renew_files(now: datetime) -> None:
    """Work out the repeats of files anew once they are old: their days move on too."""
    files = Subscription.objects.select_related("household").filter(
        url="", archived_at=None, expanded_on__lte=now.date() - WORKED_OUT_FOR
    )
    for row in files[:AT_ONCE]:
        try:
            reading = _read(
                bytes(row.content or b""), row.household, row.show_titles, row.household.today(now)
            )
        except Refused as refusal:
            log.warning("the file of subscription %s: %s", row.pk, refusal.message)
            Subscription.objects.filter(pk=row.pk).update(expanded_on=now.date())
        else:
            _renew(row, reading, now)


@writes
def _renew(row: Subscription, reading: Reading, now: datetime) -> None:
    _put_events(row, reading, now)
    touch_calendars(row.household_id)

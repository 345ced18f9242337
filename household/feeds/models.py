"""Calendars given out (feeds) and calendars taken in (subscriptions and their events)."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import urlsplit

from django.core.validators import MaxValueValidator
from django.db import models

from household.areas.models import Area
from household.people.models import Household, Member

# How long a feed's former address still answers after a new one was made.
OVERLAP = timedelta(days=7)


class Feed(models.Model):
    """A calendar under a secret address. Of the address only a SHA-256 is kept.

    `owner` is who made it: it shows what the owner may see, and ends when the owner leaves.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="feeds")
    owner = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="own_feeds")
    # One of feeds.kinds; rooms above may bring more, so the database does not list them.
    kind = models.CharField(max_length=12)
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="feeds"
    )
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.CASCADE, related_name="feeds"
    )
    label = models.CharField(max_length=60)
    hide_titles = models.BooleanField(default=False)
    include_done = models.BooleanField(default=True)
    # A reminder on the day of an all-day task, and before the start of a timed one.
    alarm_at = models.TimeField(null=True, blank=True)
    alarm_minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(1440)]
    )

    token_hash = models.CharField(max_length=64, unique=True)
    previous_hash = models.CharField(max_length=64, blank=True, db_index=True)
    previous_until = models.DateTimeField(null=True, blank=True)
    # Made by the page, so that sending its form twice makes one calendar.
    key = models.UUIDField(null=True, blank=True)
    created_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    last_fetched_at = models.DateTimeField(null=True, blank=True)
    last_agent = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="feed_key_once"),
        ]

    def __str__(self) -> str:
        return self.label


class Subscription(models.Model):
    """Somebody else's calendar: an address that is looked at again and again, or one file.

    The address is a secret of whoever gave it and is never shown in full again.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="subscriptions")
    # Whose time it takes; nobody's for school terms or the bins.
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="subscriptions"
    )
    label = models.CharField(max_length=60)
    url = models.TextField(blank=True)
    busy_counts = models.BooleanField(default=True)
    show_titles = models.BooleanField(default=True)

    key = models.UUIDField(null=True, blank=True)
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)

    etag = models.CharField(max_length=200, blank=True)
    last_modified = models.CharField(max_length=60, blank=True)
    # Empty for a file, and once looking was given up.
    next_fetch_at = models.DateTimeField(null=True, blank=True, db_index=True)
    fetched_at = models.DateTimeField(null=True, blank=True)  # the last good answer
    failures = models.PositiveSmallIntegerField(default=0)
    failing_since = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(max_length=300, blank=True)  # a sentence, empty when all is well
    notes = models.CharField(max_length=300, blank=True)  # what was read with a grain of salt
    content = models.BinaryField(null=True, blank=True)  # the last good copy
    expanded_on = models.DateField(null=True, blank=True)
    expanded_zone = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="subscription_key_once"),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def is_file(self) -> bool:
        return not self.url

    @property
    def host(self) -> str:
        """All of the address that is ever shown."""
        return urlsplit(self.url).hostname or ""


class BusyEvent(models.Model):
    """One event of a subscription, repeats worked out; `first` and `last` are local days.

    `starts_at` and `ends_at` are empty for all-day events. The title is empty unless the
    subscription shows titles.
    """

    subscription = models.ForeignKey(Subscription, on_delete=models.CASCADE, related_name="events")
    first = models.DateField()
    last = models.DateField()
    starts_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    busy = models.BooleanField(default=True)
    title = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["first", "starts_at", "id"]
        indexes = [models.Index(fields=["subscription", "first"], name="busy_by_day")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last__gte=models.F("first")), name="busy_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        return self.title or "Busy"

    @property
    def all_day(self) -> bool:
        return self.starts_at is None

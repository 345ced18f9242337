"""Devices that open a household, the codes that let them in, and who is told of a new one."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.db import models

from household.people.models import Household, Member


class DeviceKind(models.TextChoices):
    PERSONAL = "personal", "One person’s"
    SHARED = "shared", "A shared screen"


class Device(models.Model):
    """One browser as one member of one household, or as that household's shared screen.

    Where somebody of two households is signed in, each of them has a row, with the same
    session key: whoever ends one of the rows ends that session.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="devices")
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="devices"
    )
    kind = models.CharField(max_length=8, choices=DeviceKind, default=DeviceKind.PERSONAL)
    label = models.CharField("what it is called", max_length=60)
    # Also stands in a signed cookie: the browser is known again at its next sign-in.
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    # Empty while nobody is signed in there.
    session_key = models.CharField(max_length=40, blank=True, db_index=True)
    created_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    created_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    # Switched off by a person. Signing in again opens the row anew, and is told again.
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-seen_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "member", "key"], name="device_once_per_member"
            ),
            models.CheckConstraint(
                condition=models.Q(kind=DeviceKind.PERSONAL, member__isnull=False)
                | models.Q(kind=DeviceKind.SHARED, member__isnull=True),
                name="device_personal_has_a_member",
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def is_shared(self) -> bool:
        return self.kind == DeviceKind.SHARED


class Code(models.Model):
    """Lets one device in, once, within ten minutes; without a member, a shared screen.

    What the picture holds and what is typed are kept as keyed hashes only.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="codes")
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="codes"
    )
    label = models.CharField("what a shared screen is called", max_length=60, blank=True)
    link_hash = models.CharField(max_length=64, unique=True)
    typed_hash = models.CharField(max_length=64, unique=True)
    created_by = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="+")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"a code for {self.whose}"

    @property
    def whose(self) -> str:
        return self.member.name if self.member else self.label

    def is_open(self, now: datetime) -> bool:
        return self.used_at is None and now < self.expires_at


class Notice(models.Model):
    """Tells a member something once: of a device that was let in, or in words of another room.

    `path` leads on from there, within the household ("week/"); gone once they have seen it.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="notices")
    to = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="notices")
    device = models.ForeignKey(
        Device, null=True, blank=True, on_delete=models.CASCADE, related_name="notices"
    )
    words = models.CharField(max_length=200, blank=True)
    path = models.CharField(max_length=100, blank=True)
    at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [
            models.Index(fields=["to"], name="notice_unseen", condition=models.Q(seen_at=None))
        ]

    def __str__(self) -> str:
        return f"{self.words or self.device} is told to {self.to}"


class TryKind(models.TextChoices):
    PASSWORD = "password", "A name and a password"
    CODE = "code", "A typed code"
    SET_UP = "set-up", "The set-up code"
    ADDRESS = "address", "A secret address that opens nothing"
    HELPER = "helper", "What comes by a helper’s address"


class Tries(models.Model):
    """How often something secret was tried in vain, and until when to wait.

    The one table without a household: whoever tries is not known yet.
    """

    kind = models.CharField(max_length=8, choices=TryKind)
    target = models.CharField(max_length=64)  # a keyed hash of who or where
    count = models.PositiveIntegerField(default=0)
    wait_until = models.DateTimeField()
    last_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "target"], name="tries_once_per_target")
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.get_kind_display()}"

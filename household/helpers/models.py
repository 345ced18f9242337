"""Lists for helpers from outside, and the house notes that may stand on them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models

from household.chores.models import Task
from household.people.models import AgeBand, Household, Member
from household.requests.outside_models import Outsider

if TYPE_CHECKING:
    from datetime import date


class HouseNote(models.Model):
    """Something worth knowing about the house: where the bucket stands, how the alarm works."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="house_notes")
    title = models.CharField(max_length=60)
    words = models.TextField(max_length=1000)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["title", "id"]

    def __str__(self) -> str:
        return self.title


class HelperList(models.Model):
    """Some tasks of some days for somebody outside, under a secret address.

    Of the address only a SHA-256 is kept. It answers until the last day is over or it is stopped.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="helper_lists")
    name = models.CharField(max_length=60)
    outsider = models.ForeignKey(
        Outsider, null=True, blank=True, on_delete=models.SET_NULL, related_name="lists"
    )
    # Limits of age are limits for helpers too.
    age_band = models.CharField(max_length=8, choices=AgeBand, default=AgeBand.ADULT)
    starts = models.DateField()
    ends = models.DateField()
    word = models.CharField(max_length=300, blank=True)
    notes = models.ManyToManyField(HouseNote, blank=True, related_name="lists")
    show_how = models.BooleanField("say how each is done", default=True)

    # Empty until the address is made.
    token_hash = models.CharField(max_length=64, unique=True, null=True, blank=True)
    # Made by the page, so that sending its form twice makes one list.
    key = models.UUIDField(null=True, blank=True)
    made_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    created_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)  # last

    class Meta:
        ordering = ["-ends", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="helper_list_key_once"),
            models.CheckConstraint(
                condition=models.Q(ends__gte=models.F("starts")),
                name="helper_list_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"the list of {self.name}"

    def is_live(self, today: date) -> bool:
        """Whether its tasks are spoken for, and its address answers once it is made."""
        return self.stopped_at is None and today <= self.ends


class ListedTask(models.Model):
    """A task on a list. It is on one list only, and stays there once it is done."""

    list = models.ForeignKey(HelperList, on_delete=models.CASCADE, related_name="listed")
    task = models.OneToOneField(Task, on_delete=models.CASCADE, related_name="listed")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.task} on {self.list}"


class Comment(models.Model):
    """What a helper wrote about a task."""

    list = models.ForeignKey(HelperList, on_delete=models.CASCADE, related_name="comments")
    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="helper_comments")
    words = models.CharField(max_length=500)
    at = models.DateTimeField()
    # Made by the page, so that sending it twice keeps it once.
    key = models.UUIDField()

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["list", "key"], name="helper_comment_key_once"),
        ]

    def __str__(self) -> str:
        return self.words

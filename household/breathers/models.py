"""Breathers and together time: the household's own ideas, and what a week offers of them."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from household.people.models import AgeBand, Household, Member


class Company(models.TextChoices):
    """Who is in it."""

    ONESELF = "oneself", "For oneself"
    TWO = "two", "For two"
    ALL = "all", "For all of us"


class Breather(models.Model):
    """An idea that does somebody good. It is offered, never counted and never owed.

    With an owner it is offered to that member alone; a private one is seen by nobody else. It is
    offered only where everybody who is in it is of the lowest age.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="breathers")
    company = models.CharField(max_length=7, choices=Company)
    owner = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="breathers"
    )
    private = models.BooleanField(default=False)
    min_age = models.CharField(max_length=8, choices=AgeBand, default=AgeBand.UNDER_5)
    name = models.CharField(max_length=80)
    minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    changed_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(owner=None) | Q(company=Company.ONESELF),
                name="breather_owner_is_for_oneself",
            ),
            models.CheckConstraint(
                condition=Q(private=False) | Q(owner__isnull=False),
                name="breather_private_has_owner",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Offer(models.Model):
    """What one week offers: to a member, to two of them, or to all.

    `starts` is the first day of the week; `day` is empty where no day has room. `passed` are the
    ids of ideas that were turned down for this week. Who is in it never changes.
    """

    household = models.ForeignKey(
        Household, on_delete=models.CASCADE, related_name="breather_offers"
    )
    starts = models.DateField()
    company = models.CharField(max_length=7, choices=Company)
    # For oneself: the member. For two: both, the lower id first.
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    other = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    breather = models.ForeignKey(Breather, on_delete=models.CASCADE, related_name="offers")
    day = models.DateField(null=True, blank=True)
    by_hand = models.BooleanField("the day was chosen by somebody", default=False)
    left_out = models.BooleanField("not this week", default=False)
    passed = models.JSONField(default=list, blank=True)
    changed_at = models.DateTimeField()
    sequence = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["starts", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "starts", "member"],
                condition=Q(company=Company.ONESELF),
                name="offer_once_for_oneself",
            ),
            models.UniqueConstraint(
                fields=["household", "starts", "company"],
                condition=~Q(company=Company.ONESELF),
                name="offer_once_together",
            ),
        ]
        indexes = [models.Index(fields=["household", "day"], name="offer_by_day")]

    def __str__(self) -> str:
        return f"{self.breather}, week of {self.starts}"

"""A week's plan: what matters, notes, and who does what on which day while it is a draft."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from household.people.models import Household, Member


class Preset(models.TextChoices):
    """What the share-out keeps to when both cannot be had; the values are those of calc."""

    FREE_TIME = "free_time", "Keep to everybody’s free time, even if shares differ"
    EVEN = "even", "Weigh both alike"
    SHARES = "shares", "Keep to the agreed shares, even if a day gets full"


class WeekPlan(models.Model):
    """One household's week. A draft lives in `places` until it is settled.

    `places` maps a task's id (as text) to {"member": id, "day": "2026-03-16", "held": bool};
    what the organiser has put somewhere by hand is held, and the share-out works around it.
    `steps` are the drafts before this one, newest last, so that every change can be undone.
    """

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="week_plans")
    starts = models.DateField()
    priorities = models.JSONField(default=list, blank=True)
    notes = models.TextField(blank=True)
    day_notes = models.JSONField(default=dict, blank=True)  # "2026-03-16" -> text
    places = models.JSONField(default=dict, blank=True)
    steps = models.JSONField(default=list, blank=True)
    # How the draft came about: proof, bounds and words of the last share-out.
    outcome = models.JSONField(default=dict, blank=True)
    preset = models.CharField(max_length=10, choices=Preset, default=Preset.EVEN)
    # How much of the free time there is the strength for, in percent: for everybody, and by
    # member id (as text) where somebody differs.
    strength = models.PositiveSmallIntegerField(
        default=100, validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    strengths = models.JSONField(default=dict, blank=True)
    # Entries of the tasks that were left out or lightened for it, so that they can be had back.
    fitted = models.JSONField(default=list, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["household", "starts"], name="week_plan_once_per_week")
        ]

    def __str__(self) -> str:
        return f"Week of {self.starts}"

    @property
    def ends(self) -> date:
        return self.starts + timedelta(days=6)

    def strength_of(self, member_id: int) -> int:
        """Percent of their free time that a member has the strength for."""
        strengths: dict[str, int] = self.strengths
        return int(strengths.get(str(member_id), self.strength))

    @property
    def draft(self) -> dict[str, dict[str, Any]]:
        places: dict[str, dict[str, Any]] = self.places
        return places


class MonthNote(models.Model):
    """What is written on a month's page."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="month_notes")
    month = models.DateField(help_text="The first day of the month.")
    notes = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["household", "month"], name="month_note_once_per_month"
            ),
            models.CheckConstraint(
                condition=models.Q(month__day=1), name="month_note_starts_on_the_first"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.month:%B %Y}"

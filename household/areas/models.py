"""The parts of a home, how thoroughly they are done, and the month's spotlight."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models

from household.people.models import Household, Member


class CareLevel(models.TextChoices):
    TIDY = "tidy", "Tidy"
    CLEAN = "clean", "Clean"
    DEEP = "deep", "Deep clean"


class Treatment(models.TextChoices):
    """What follows cleaning, as public-health bodies define it (see the glossary page)."""

    NONE = "none", "No"
    SANITISE = "sanitise", "Sanitise"
    DISINFECT = "disinfect", "Disinfect"


class Area(models.Model):
    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="areas")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=20, blank=True)
    owner = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="areas"
    )
    position = models.PositiveSmallIntegerField(default=0)
    # Four places: a tenth of a square foot comes back as it was typed.
    floor_area_m2 = models.DecimalField(
        max_digits=9,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    # After how many days each level is past its rhythm; empty means no rhythm is set.
    tidy_days = models.PositiveSmallIntegerField(null=True, blank=True)
    clean_days = models.PositiveSmallIntegerField(null=True, blank=True)
    deep_days = models.PositiveSmallIntegerField(null=True, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "name"],
                condition=models.Q(archived_at=None),
                name="area_name_once_per_household",
                violation_error_message="There is an area of that name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Spotlight(models.Model):
    """The one area that gets extra attention in a month, when there is time."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="spotlights")
    month = models.DateField(help_text="The first day of the month.")
    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="spotlights")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["household", "month"], name="spotlight_once_per_month"),
            models.CheckConstraint(
                condition=models.Q(month__day=1), name="spotlight_month_starts_on_the_first"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.area} in {self.month:%B %Y}"

"""People outside the home who mend and help, and the appliances that they mend."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.validators import MinValueValidator
from django.db import models

from household.areas.models import Area
from household.chores.models import Chore
from household.people.models import Household

if TYPE_CHECKING:
    from datetime import date


class Outsider(models.Model):
    """Somebody outside: a tradesperson, a neighbour with a van."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="outsiders")
    name = models.CharField(max_length=80)
    trade = models.CharField(max_length=60, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    notes = models.TextField(blank=True, max_length=1000)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["trade", "name", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "name"],
                condition=models.Q(archived_at=None),
                name="outsider_name_once_per_household",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Appliance(models.Model):
    """An appliance or an installation, and the chores that keep it going."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="appliances")
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.SET_NULL, related_name="appliances"
    )
    name = models.CharField(max_length=80)
    # A row of the starter's upkeep intervals ("dryer"), from which service chores are suggested.
    kind = models.CharField(max_length=40, blank=True)
    model = models.CharField(max_length=80, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    bought_from = models.CharField(max_length=80, blank=True)
    price = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    warranty_until = models.DateField(null=True, blank=True)
    manual = models.URLField(max_length=500, blank=True)
    notes = models.TextField(blank=True, max_length=1000)
    chores = models.ManyToManyField(Chore, blank=True, related_name="appliances")
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["area__position", "area_id", "name", "id"]

    def __str__(self) -> str:
        return self.name

    def is_under_warranty(self, today: date) -> bool:
        return self.warranty_until is not None and self.warranty_until >= today

"""Calls for help, what became of them, their pictures, and how a household wants to be helped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.validators import MinValueValidator
from django.db import models

from household.areas.models import Area
from household.chores.models import Task
from household.devices.models import Device
from household.people.models import Household, Member
from household.requests.outside_models import Appliance, Outsider

if TYPE_CHECKING:
    from datetime import date


class HelpKind(models.TextChoices):
    """What kind of help is asked for."""

    REPAIR = "repair", "Repair"
    LIFT = "lift", "A lift"
    OPINION = "opinion", "Opinion"
    CARRYING = "carrying", "Carrying"
    ERRAND = "errand", "Errand"
    OTHER = "other", "Other"


class Urgency(models.TextChoices):
    NOW = "now", "Now"
    SOON = "soon", "Soon"
    WHENEVER = "whenever", "When it suits"


class Standing(models.TextChoices):
    """Where a request stands. That a task was ticked is read from the task itself."""

    ASKED = "asked", "Asked"
    TAKEN = "taken", "Taken on"
    CANNOT = "cannot", "Nobody can just now"
    OUTSIDE = "outside", "With somebody outside"
    DONE = "done", "Done"
    THANKED = "thanked", "Done and thanked"
    WITHDRAWN = "withdrawn", "Not needed any more"


class Request(models.Model):
    """One call for help."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="requests")
    asker = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    device = models.ForeignKey(
        Device, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    what = models.CharField(max_length=120)
    details = models.TextField(blank=True, max_length=2000)
    kind = models.CharField(max_length=8, choices=HelpKind, default=HelpKind.OTHER)
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    appliance = models.ForeignKey(
        Appliance, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    urgency = models.CharField(max_length=8, choices=Urgency, default=Urgency.SOON)
    by = models.DateField(null=True, blank=True)
    # Who is asked; empty means anybody.
    to = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="asked_of"
    )
    # Ids of those who said that they can't, while anybody is asked.
    declined = models.JSONField(default=list, blank=True)
    # Kinds of calc.dangers, chosen by the asker or read from the words.
    dangers = models.JSONField(default=list, blank=True)
    emergencies = models.JSONField(default=list, blank=True)
    # A child's request with a danger: other children do not see it.
    for_adults = models.BooleanField(default=False)

    standing = models.CharField(max_length=9, choices=Standing, default=Standing.ASKED)
    taken_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="taken_requests"
    )
    task = models.OneToOneField(
        Task, null=True, blank=True, on_delete=models.SET_NULL, related_name="request"
    )
    outsider = models.ForeignKey(
        Outsider, null=True, blank=True, on_delete=models.SET_NULL, related_name="requests"
    )
    done_on = models.DateField(null=True, blank=True)
    parts = models.CharField(max_length=200, blank=True)
    cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    warranty_until = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    # Made with the form, so that sending it twice asks once.
    key = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="request_key_once")
        ]
        indexes = [
            models.Index(fields=["household", "standing", "-created_at"], name="request_standing"),
            models.Index(fields=["area", "-created_at"], name="request_by_area"),
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def for_licensed(self) -> bool:
        return bool(self.dangers)

    def is_under_warranty(self, today: date) -> bool:
        return self.warranty_until is not None and self.warranty_until >= today


class Photo(models.Model):
    """A picture of a request, made anew from what was sent. The name says nothing."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="photos")
    request = models.ForeignKey(Request, on_delete=models.CASCADE, related_name="photos")
    name = models.CharField(max_length=32, unique=True)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.name


class Happened(models.TextChoices):
    """What a line of a request's history tells."""

    ASKED = "asked", "asked for it"
    TAKEN = "taken", "said: I’ll do it"
    CANNOT = "cannot", "can’t just now"
    GAVE_BACK = "gave_back", "can’t after all"
    ASKED_AGAIN = "again", "asked"
    OUTSIDE = "outside", "asked somebody outside"
    ESTIMATE = "estimate", "noted an estimate"
    CHOSE = "chose", "chose an estimate"
    DANGER = "danger", "changed what is dangerous about it"
    DONE = "done", "noted that it is done"
    NOTED = "noted", "noted what it took"
    THANKED = "thanked", "said thank you"
    WITHDRAWN = "withdrawn", "does not need it any more"
    PHOTO_GONE = "photo_gone", "took a photo away"


class RequestEvent(models.Model):
    """One thing that happened to a request. Never changed."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.CASCADE, related_name="events")
    actor = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    device = models.ForeignKey(
        Device, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    did = models.CharField(max_length=10, choices=Happened)
    words = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.actor or 'Somebody'} {self.get_did_display()}"


class Remind(models.TextChoices):
    """When a helper wants to be reminded of what they took on."""

    EVENING = "evening", "On weekday evenings"
    WEEKEND = "weekend", "On weekend mornings"
    NEVER = "never", "Not at all"


class Reminding(models.Model):
    """A helper's own choice; without a row it is weekday evenings."""

    member = models.OneToOneField(Member, on_delete=models.CASCADE, related_name="reminding")
    when = models.CharField(max_length=8, choices=Remind, default=Remind.EVENING)

    def __str__(self) -> str:
        return f"{self.member}: {self.get_when_display()}"


class HelpSettings(models.Model):
    """Whom a household calls, what it pays in, and what it usually asks for.

    Without a row the numbers are the country's usual ones (calc.help_numbers).
    """

    household = models.OneToOneField(Household, on_delete=models.CASCADE, related_name="help")
    emergency = models.CharField(max_length=40, blank=True)
    gas = models.CharField(max_length=40, blank=True)
    electricity = models.CharField(max_length=40, blank=True)
    water = models.CharField(max_length=40, blank=True)
    plumber = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=8, blank=True)
    address = models.CharField(max_length=200, blank=True)
    # [{"kind": HelpKind, "what": words}], in the household's own order.
    usual = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return f"Help for {self.household}"


class Estimate(models.Model):
    """What somebody outside would take for a request."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.CASCADE, related_name="estimates")
    outsider = models.ForeignKey(
        Outsider, null=True, blank=True, on_delete=models.SET_NULL, related_name="estimates"
    )
    who = models.CharField(max_length=80)  # the name stays when the person is put away
    amount = models.DecimalField(max_digits=10, decimal_places=2, validators=[MinValueValidator(0)])
    valid_until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    chosen = models.BooleanField(default=False)

    class Meta:
        ordering = ["amount", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["request"],
                condition=models.Q(chosen=True),
                name="estimate_chosen_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.amount} from {self.who}"

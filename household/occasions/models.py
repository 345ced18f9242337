"""Occasions, the lead jobs counted back from them, and gift ideas kept from those they are for."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from household.calc.occasions import DayRule, Leap, Off, Side, Sort
from household.chores.models import Task
from household.people.models import AgeBand, Household, Member, Weekday, WorkKind

MOST_BEFORE = 365  # days from a lead job to its occasion
MOST_WINDOW = 60


class OccasionKind(models.TextChoices):
    BIRTHDAY = "birthday", "Birthday"
    ANNIVERSARY = "anniversary", "Anniversary"
    NAME_DAY = "name_day", "Name day"
    FEAST = "feast", "Feast"
    EVENT = "event", "Event"


SORTS = [
    (Sort.YEARLY, "The same date every year"),
    (Sort.ONCE, "Once"),
    (Sort.EASTER, "Counted from Easter"),
    (Sort.NTH, "A weekday of a month"),
    (Sort.NEAR, "A weekday next to a date"),
]
LEAPS = [(Leap.FEBRUARY, "28 February"), (Leap.MARCH, "1 March")]
OFFS = [
    (Off.KEEP, "Leave it there"),
    (Off.MONDAY, "The Monday after"),
    (Off.NEAREST, "Friday for a Saturday, Monday for a Sunday"),
    (Off.FRIDAY, "The Friday before"),
]
SIDES = [(Side.BEFORE, "on it or before it"), (Side.AFTER, "on it or after it")]
NTHS = [(1, "first"), (2, "second"), (3, "third"), (4, "fourth"), (-1, "last")]


class OccasionSettings(models.Model):
    """A household's own choices. Its row is there once its sets of lead jobs were made."""

    household = models.OneToOneField(
        Household, on_delete=models.CASCADE, related_name="occasion_settings"
    )
    leap = models.CharField(max_length=5, choices=LEAPS, default=Leap.FEBRUARY)

    def __str__(self) -> str:
        return f"Occasions of {self.household}"


class Occasion(models.Model):
    """A day that comes round once a year by some rule, or one day only."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="occasions")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=11, choices=OccasionKind, default=OccasionKind.BIRTHDAY)
    # The rule, as calc.occasions.DayRule has it. `year` is when it began, which gives the age.
    sort = models.CharField(max_length=6, choices=SORTS, default=Sort.YEARLY)
    month = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    day = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(31)]
    )
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    offset = models.SmallIntegerField(default=0)
    orthodox = models.BooleanField(default=False)
    nth = models.SmallIntegerField(choices=NTHS, default=1)
    weekday = models.SmallIntegerField(choices=Weekday, default=Weekday.SUNDAY)
    side = models.CharField(max_length=6, choices=SIDES, default=Side.BEFORE)
    off = models.CharField(max_length=7, choices=OFFS, default=Off.KEEP)
    lasts = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    # Whom it concerns: members, or somebody else by name.
    concerns = models.ManyToManyField(Member, blank=True, related_name="occasions")
    who = models.CharField(max_length=80, blank=True)
    notes = models.TextField(blank=True, max_length=2000)
    # Its lead jobs are rows of its own, in place of the set of its kind.
    own_jobs = models.BooleanField(default=False)

    added_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    # Grows with every change, as calendars want it (RFC 5545, SEQUENCE).
    sequence = models.PositiveIntegerField(default=0)
    archived_at = models.DateTimeField(null=True, blank=True)
    # Made with the form, so that sending it twice adds one.
    key = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="occasion_key_once")
        ]
        indexes = [
            models.Index(
                fields=["household"],
                name="occasion_live",
                condition=models.Q(archived_at=None),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def as_rule(self) -> DayRule:
        return DayRule(
            sort=Sort(self.sort),
            month=self.month,
            day=self.day,
            year=self.year,
            offset=self.offset,
            orthodox=self.orthodox,
            nth=self.nth,
            weekday=self.weekday,
            side=Side(self.side),
            off=Off(self.off),
        )


class LeadJob(models.Model):
    """What is to be done so many days before: of a kind's set, or of one occasion alone."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="lead_jobs")
    kind = models.CharField(max_length=11, choices=OccasionKind, blank=True)
    occasion = models.ForeignKey(
        Occasion, null=True, blank=True, on_delete=models.CASCADE, related_name="jobs"
    )
    name = models.CharField(max_length=60)
    days_before = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_BEFORE)])
    window_days = models.PositiveSmallIntegerField(
        default=3, validators=[MinValueValidator(1), MaxValueValidator(MOST_WINDOW)]
    )
    minutes = models.PositiveSmallIntegerField(
        default=15, validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    work = models.CharField(max_length=12, choices=WorkKind, default=WorkKind.CARE)
    min_age = models.CharField(max_length=8, choices=AgeBand, default=AgeBand.UNDER_5)
    # Ids of the members who may do it; empty means everybody.
    may = models.JSONField(default=list, blank=True)
    keeper = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    keep_minutes = models.PositiveSmallIntegerField(default=5, validators=[MaxValueValidator(600)])
    # Kept from the members whom the occasion concerns.
    private = models.BooleanField(default=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-days_before", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(occasion=None) ^ models.Q(kind=""),
                name="lead_job_of_kind_or_occasion",
            )
        ]

    def __str__(self) -> str:
        return self.name


class LeadTask(models.Model):
    """The task that a lead job became for one year's occasion; once and no more."""

    occasion = models.ForeignKey(Occasion, on_delete=models.CASCADE, related_name="lead_tasks")
    job = models.ForeignKey(LeadJob, on_delete=models.CASCADE, related_name="lead_tasks")
    year = models.PositiveSmallIntegerField()
    task = models.OneToOneField(Task, on_delete=models.CASCADE, related_name="lead")
    # The occasion's day and the window as it was counted back from it.
    day = models.DateField()
    opens = models.DateField()
    closes = models.DateField()

    class Meta:
        ordering = ["closes", "id"]
        constraints = [
            models.UniqueConstraint(fields=["occasion", "job", "year"], name="lead_task_once")
        ]

    def __str__(self) -> str:
        return f"{self.job}, {self.year}"


class Gift(models.Model):
    """An idea for a present, or one that was given. Never shown to those it is for."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="gifts")
    occasion = models.ForeignKey(
        Occasion, null=True, blank=True, on_delete=models.SET_NULL, related_name="gifts"
    )
    members = models.ManyToManyField(Member, blank=True, related_name="gifts")
    who = models.CharField(max_length=80, blank=True)
    idea = models.CharField(max_length=120)
    cost = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    given = models.PositiveSmallIntegerField(null=True, blank=True)  # the year
    note = models.CharField(max_length=200, blank=True)
    added_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    key = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["-given", "-created_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["household", "key"], name="gift_key_once")]

    def __str__(self) -> str:
        return self.idea

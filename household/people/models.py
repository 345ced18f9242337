"""Households, the people in them, and when those people are away."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, tzinfo
from typing import Any, ClassVar
from zoneinfo import ZoneInfo, available_timezones

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower


def default_free_minutes() -> list[int]:
    """Half an hour on working days, an hour at weekends: a starting point to be changed."""
    return [30, 30, 30, 30, 30, 60, 60]


def check_free_minutes(value: object) -> None:
    if (
        not isinstance(value, list)
        or len(value) != 7
        or not all(isinstance(minutes, int) and 0 <= minutes <= 1440 for minutes in value)
    ):
        raise ValidationError("Give seven numbers of minutes, Monday first, from 0 to 1440.")


def check_time_zone(value: str) -> None:
    if value not in available_timezones():
        raise ValidationError("Choose a time zone from the list, for example Europe/Dublin.")


class AccountManager(BaseUserManager["Account"]):
    def create_user(self, username: str, password: str | None = None) -> Account:
        account = self.model(username=username)
        account.set_password(password)
        account.save(using=self._db)
        return account

    def create_superuser(self, username: str, password: str | None = None) -> Account:
        account = self.create_user(username, password)
        account.is_staff = account.is_superuser = True
        account.save(using=self._db, update_fields=["is_staff", "is_superuser"])
        return account

    def get_by_natural_key(self, username: str | None) -> Account:
        """The account of this name, however its letters are cased."""
        name = self.model.normalize_username(username or "").strip()
        found = self.filter(username__iexact=name).first()
        if found is None and not name.isascii():
            # SQLite folds the case of ASCII letters only; a home has few accounts to look at.
            names = self.values_list("pk", "username")
            found = self.filter(
                pk__in=[pk for pk, other in names if other.casefold() == name.casefold()]
            ).first()
        if found is None:
            raise self.model.DoesNotExist
        return found


class Account(AbstractBaseUser, PermissionsMixin):
    """Who signs in. No e-mail address is asked for: children have none."""

    username = models.CharField("name to sign in with", max_length=60, unique=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = AccountManager()
    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("username"),
                name="account_username_once",
                violation_error_message="That name is taken. Choose another one to sign in with.",
            )
        ]

    def __str__(self) -> str:
        return self.username


class DateOrder(models.TextChoices):
    DAY_MONTH_YEAR = "dmy", "31 December 2026"
    MONTH_DAY_YEAR = "mdy", "December 31, 2026"
    YEAR_MONTH_DAY = "ymd", "2026 December 31"


class Units(models.TextChoices):
    METRIC = "metric", "Metric: grams, litres"
    UK = "UK", "Metric and UK: grams, pints"
    US = "US", "US: ounces, cups"


class Paper(models.TextChoices):
    A4 = "A4", "A4 and A5"
    LETTER = "Letter", "Letter and half letter"


class Weekday(models.IntegerChoices):
    MONDAY = 0, "Monday"
    TUESDAY = 1, "Tuesday"
    WEDNESDAY = 2, "Wednesday"
    THURSDAY = 3, "Thursday"
    FRIDAY = 4, "Friday"
    SATURDAY = 5, "Saturday"
    SUNDAY = 6, "Sunday"


class Household(models.Model):
    """One home and its habits. Every other row belongs to a household."""

    name = models.CharField(max_length=80)
    country = models.CharField(max_length=2, default="GB")
    subdivision = models.CharField(max_length=10, blank=True)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[check_time_zone])
    language = models.CharField(max_length=10, default="en-gb")
    first_weekday = models.SmallIntegerField(choices=Weekday, default=Weekday.MONDAY)
    date_order = models.CharField(max_length=3, choices=DateOrder, default=DateOrder.DAY_MONTH_YEAR)
    units = models.CharField(max_length=6, choices=Units, default=Units.METRIC)
    paper = models.CharField(max_length=6, choices=Paper, default=Paper.A4)
    created_at = models.DateTimeField(auto_now_add=True)
    # Grows with every change to anything in the household: pages and feeds are kept by it.
    revision = models.PositiveBigIntegerField(default=0)
    # When a name or a habit last changed that many events of calendars given out tell.
    renamed_at = models.DateTimeField(null=True, blank=True)
    # Grows with every change to the calendars taken in, which is seldom.
    calendars = models.PositiveBigIntegerField(default=0)
    # The local day up to which the daily job has run, and the moment it did so.
    daily_on = models.DateField(null=True, blank=True)
    daily_at = models.DateTimeField(null=True, blank=True)
    # The last day for which anything is on offer of breathers: nothing is asked beyond it.
    breathers_until = models.DateField(null=True, blank=True, editable=False)

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> tzinfo:
        return ZoneInfo(self.time_zone)

    def today(self, now: datetime) -> date:
        """The household's own date at an aware moment."""
        return now.astimezone(self.zone).date()


class Role(models.TextChoices):
    ORGANISER = "organiser", "Organiser: plans and changes everything"
    MEMBER = "member", "Member: sees all, does and hands over tasks"
    CHILD = "child", "Child: own list, ticks, asks for help"


class AgeBand(models.TextChoices):
    """In order of age; the values are those of calc.limits."""

    UNDER_5 = "under_5", "Under 5"
    FROM_5 = "5_7", "5 to 7"
    FROM_8 = "8_11", "8 to 11"
    FROM_12 = "12_15", "12 to 15"
    FROM_16 = "16_17", "16 to 17"
    ADULT = "adult", "Adult"


class Shape(models.TextChoices):
    DISC = "disc", "Disc"
    SQUARE = "square", "Square"
    TRIANGLE = "triangle", "Triangle"
    DIAMOND = "diamond", "Diamond"
    CROSS = "cross", "Cross"
    HALF = "half", "Half disc"


class Hue(models.TextChoices):
    BLUE = "blue", "Blue"
    BRICK = "brick", "Brick"
    GREEN = "green", "Green"
    VIOLET = "violet", "Violet"
    TEAL = "teal", "Teal"
    PLUM = "plum", "Plum"


class WorkKind(models.TextChoices):
    """Kinds of work that people like or dislike."""

    TIDYING = "tidying", "Tidying"
    CLEANING = "cleaning", "Cleaning"
    LAUNDRY = "laundry", "Laundry"
    COOKING = "cooking", "Cooking"
    SHOPPING = "shopping", "Shopping"
    GARDEN = "garden", "Garden"
    REPAIRS = "repairs", "Repairs"
    PAPERWORK = "paperwork", "Paperwork"
    ERRANDS = "errands", "Errands"
    CARE = "care", "Care of people, animals and plants"


class Skill(models.TextChoices):
    """What a chore may need that not everybody has."""

    LADDER = "ladder", "Works on a ladder"
    COOKING = "cooking", "Cooks alone"
    DRIVING = "driving", "Drives"
    IRONING = "ironing", "Irons"
    SEWING = "sewing", "Sews and mends"
    TOOLS = "tools", "Uses power tools"
    LAUNDRY = "laundry", "Runs the washing machine"
    PAPERWORK = "paperwork", "Does the household's papers"


class Member(models.Model):
    """A person of one household. The same person may be a member of several."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="members")
    account = models.ForeignKey(
        Account, null=True, blank=True, on_delete=models.SET_NULL, related_name="memberships"
    )
    name = models.CharField(max_length=40)
    shape = models.CharField(max_length=8, choices=Shape)
    hue = models.CharField(max_length=8, choices=Hue)
    role = models.CharField(max_length=10, choices=Role, default=Role.MEMBER)
    age_band = models.CharField(max_length=8, choices=AgeBand, default=AgeBand.ADULT)
    weight = models.PositiveSmallIntegerField(
        "agreed share",
        default=10,
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
        help_text="In comparison with the others: 10 and 5 means twice as much and half as much.",
    )
    free_minutes = models.JSONField(default=default_free_minutes, validators=[check_free_minutes])
    skills = models.JSONField(default=list, blank=True)
    dislikes = models.JSONField(default=dict, blank=True)
    mirrored = models.BooleanField("ticks on the left", default=False)
    theme = models.CharField(
        max_length=6,
        blank=True,
        choices=[("", "As the device has it"), ("light", "Light"), ("dark", "Dark")],
    )
    # How many notices wait to be seen: Today asks for them only if there are any.
    unseen = models.PositiveSmallIntegerField(default=0, editable=False)
    # The same for swaps that wait for an answer, theirs or the other's.
    swaps = models.PositiveSmallIntegerField(default=0, editable=False)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "account"], name="member_account_once_per_household"
            ),
            models.UniqueConstraint(
                fields=["household", "shape", "hue"],
                condition=models.Q(archived_at=None),
                name="member_mark_once_per_household",
                violation_error_message="That mark is taken. Choose another shape or hue.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def organises(self) -> bool:
        return self.role == Role.ORGANISER

    def free_on(self, weekday: int) -> int:
        """Minutes free on a weekday (0 is Monday), absences aside."""
        minutes: Sequence[int] = self.free_minutes
        return minutes[weekday]

    def dislike_of(self, kind: str) -> int:
        """From 1 (likes) to 5 (dislikes very much); 3 where nothing was said."""
        dislikes: dict[str, Any] = self.dislikes
        return int(dislikes.get(kind, 3))


class Absence(models.Model):
    """Days on which a member is away; one that repeats makes a part-time home."""

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="absences")
    starts = models.DateField("first day away")
    ends = models.DateField("last day away")
    every_weeks = models.PositiveSmallIntegerField(
        "again every so many weeks",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(52)],
    )
    until = models.DateField("no more after", null=True, blank=True)
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["starts", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends__gte=models.F("starts")), name="absence_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        return f"{self.member} away {self.starts} to {self.ends}"

"""Chores (what comes round), tasks (one due instance each) and entries (what happened to them)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from household.areas.models import Area, CareLevel, Treatment
from household.calc.recurrence.repeat import Kind, Repeat, Shift, Unit, Window
from household.devices.models import Device
from household.people.models import AgeBand, Household, Member, Skill, WorkKind

if TYPE_CHECKING:
    from datetime import date


class Who(models.TextChoices):
    FIXED = "fixed", "Always the same person"
    TURNS = "turns", "In turn"
    OWNER = "owner", "Whoever owns the area"
    ANYONE = "anyone", "Anyone: it waits to be taken"


class Missed(models.TextChoices):
    CARRY = "carry", "It stays due until it is done"
    LAPSE = "lapse", "It is let go"


class Importance(models.IntegerChoices):
    LOW = 1, "Nice when there is time"
    USUAL = 2, "Usual"
    HIGH = 3, "Matters much"
    SAFETY = 4, "Health or safety: never dropped"


KINDS = [
    (Kind.RULE, "By the calendar"),
    (Kind.AFTER_DONE, "Counted from when it was last done"),
    (Kind.ONCE, "Once"),
]
WINDOWS = [
    (Window.DAY, "On its day"),
    (Window.WEEK, "Any day of its week"),
    (Window.MONTH, "Any day of its month"),
]
UNITS = [(Unit.DAYS, "days"), (Unit.WEEKS, "weeks"), (Unit.MONTHS, "months")]
SHIFTS = [
    (Shift.KEEP, "Leave it on its day"),
    (Shift.SKIP, "Skip it"),
    (Shift.EARLIER, "Do it the day before"),
    (Shift.LATER, "Do it the day after"),
]


class Chore(models.Model):
    """A standing job. The `next_*` columns stage its next task for the daily job."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="chores")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="chores")
    name = models.CharField(max_length=80)
    how_to = models.TextField(blank=True)
    caution = models.CharField(max_length=200, blank=True)
    kind = models.CharField(max_length=12, choices=WorkKind, default=WorkKind.CLEANING)
    level = models.CharField(max_length=6, choices=CareLevel, default=CareLevel.TIDY)
    treatment = models.CharField(max_length=10, choices=Treatment, default=Treatment.NONE)
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    importance = models.PositiveSmallIntegerField(choices=Importance, default=Importance.USUAL)

    keeper = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="kept_chores"
    )
    # Minutes of noticing, deciding and checking that one task of this chore asks of its keeper.
    keep_minutes = models.PositiveSmallIntegerField(default=2, validators=[MaxValueValidator(600)])

    who = models.CharField(max_length=8, choices=Who, default=Who.ANYONE)
    fixed = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="fixed_chores"
    )
    # Ids of the members who may do it, in turn order; empty means everybody whom the limits allow.
    may = models.JSONField(default=list, blank=True)
    min_age = models.CharField(max_length=8, choices=AgeBand, default=AgeBand.UNDER_5)
    hazards = models.JSONField(default=list, blank=True)
    needs_skill = models.CharField(max_length=12, choices=Skill, blank=True)

    repeat = models.CharField(max_length=10, choices=KINDS, default=Kind.RULE)
    rule = models.CharField(max_length=500, blank=True)
    every = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    unit = models.CharField(max_length=6, choices=UNITS, default=Unit.WEEKS)
    window = models.CharField(max_length=5, choices=WINDOWS, default=Window.DAY)
    months = models.JSONField(default=list, blank=True)  # months on; empty means all year
    on_holiday = models.CharField(max_length=7, choices=SHIFTS, default=Shift.KEEP)
    on_away = models.CharField(max_length=7, choices=SHIFTS, default=Shift.KEEP)
    starts = models.DateField()
    time = models.TimeField(null=True, blank=True)
    missed = models.CharField(max_length=5, choices=Missed, default=Missed.CARRY)
    grace_days = models.PositiveSmallIntegerField(default=0)

    next_due = models.DateField(null=True, blank=True)
    next_opens = models.DateField(null=True, blank=True)
    next_closes = models.DateField(null=True, blank=True)
    next_member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    # Chores of one rhythm have the same next dates, so the daily job works them out once.
    # Empty where holidays, absences or turns make each chore a case of its own.
    rhythm = models.CharField(max_length=40, blank=True)
    last_done_on = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    # When it, or what its dates hang on, was last changed: calendars tell by it.
    changed_at = models.DateTimeField(auto_now_add=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["area__position", "area_id", "name", "id"]
        indexes = [
            models.Index(
                fields=["household", "next_opens", "next_due"],
                name="chore_next_due",
                condition=models.Q(archived_at=None),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def as_repeat(self, week_start: int) -> Repeat:
        """The rhythm as calc.recurrence works with it."""
        return Repeat(
            kind=Kind(self.repeat),
            start=self.starts,
            rule=self.rule,
            every=self.every,
            unit=Unit(self.unit),
            window=Window(self.window),
            months=frozenset(self.months or range(1, 13)),
            on_holiday=Shift(self.on_holiday),
            on_away=Shift(self.on_away),
            week_start=week_start,
        )


class State(models.TextChoices):
    OPEN = "open", "To do"
    DONE = "done", "Done"
    SKIPPED = "skipped", "Skipped"
    LAPSED = "lapsed", "Let go"


class Task(models.Model):
    """One due instance of a chore, or a one-off, with the days in which it may be done."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="tasks")
    chore = models.ForeignKey(
        Chore, null=True, blank=True, on_delete=models.CASCADE, related_name="tasks"
    )
    occurrence = models.DateField(null=True, blank=True)
    name = models.CharField(max_length=80)
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks"
    )
    kind = models.CharField(max_length=12, choices=WorkKind, default=WorkKind.TIDYING)
    level = models.CharField(max_length=6, choices=CareLevel, default=CareLevel.TIDY)
    minutes = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    opens = models.DateField()
    closes = models.DateField()
    time = models.TimeField(null=True, blank=True)
    # The day it is planned for; empty while an any-day task has none yet.
    day = models.DateField(null=True, blank=True)
    member = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="tasks"
    )
    state = models.CharField(max_length=8, choices=State, default=State.OPEN)
    done_at = models.DateTimeField(null=True, blank=True)
    done_on = models.DateField(null=True, blank=True)  # the household's own date of done_at
    done_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="done_tasks"
    )
    # Who from outside it is spoken for, or did it; never together with a member.
    helper = models.CharField(max_length=60, blank=True)
    minutes_taken = models.PositiveSmallIntegerField(null=True, blank=True)
    kept_by = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="kept_tasks"
    )
    kept_minutes = models.PositiveSmallIntegerField(default=0)
    reason = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=200, blank=True)
    # What a one-off asks of whoever does it: {"min_age": band, "dangers": [kinds of
    # calc.dangers], "may": [ids of members], "hidden_from": [ids: see Hidden]}. Empty for the
    # tasks of a chore, which have their chore's limits.
    limits = models.JSONField(null=True, blank=True)
    # Grows with every change, as calendars want it (RFC 5545, SEQUENCE).
    sequence = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["closes", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["household", "chore", "occurrence"], name="task_once_per_occurrence"
            ),
            models.CheckConstraint(
                condition=models.Q(closes__gte=models.F("opens")), name="task_closes_after_opening"
            ),
            models.CheckConstraint(
                condition=models.Q(helper="") | models.Q(member=None, done_by=None),
                name="task_helper_or_member",
            ),
        ]
        indexes = [
            models.Index(
                fields=["household", "opens"],
                name="task_open_by_household",
                condition=models.Q(state="open"),
            ),
            models.Index(
                fields=["closes"], name="task_open_by_close", condition=models.Q(state="open")
            ),
            models.Index(fields=["household", "done_on"], name="task_done_by_day"),
            models.Index(
                fields=["area", "level", "done_on"],
                name="task_done_by_area",
                condition=models.Q(done_on__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def is_late(self, today: date) -> bool:
        return self.state == State.OPEN and self.closes < today


class Hidden(models.Model):
    """A task that this member must not see or do: something is got ready for them.

    The same stands in the task's limits, for those who read rows; `hiding` writes both.
    """

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="hidden")
    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["task", "member"], name="task_hidden_once"),
        ]

    def __str__(self) -> str:
        return f"{self.task}, not for {self.member}"


class Did(models.TextChoices):
    """What an entry tells."""

    ADDED = "added", "added it"
    TICKED = "ticked", "ticked it"
    UNDONE = "undone", "took that back"
    SKIPPED = "skipped", "skipped it"
    LAPSED = "lapsed", "let it go"
    TAKEN = "taken", "took it on"
    HANDED = "handed", "handed it over"
    MOVED = "moved", "moved it"
    MEASURED = "measured", "said how long it took"
    CHANGED = "changed", "changed it"
    ARCHIVED = "archived", "put it away"
    RESTORED = "restored", "brought it back"


class Entry(models.Model):
    """One thing that happened: who, when, what stood before and what after. Never changed."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="entries")
    task = models.ForeignKey(
        Task, null=True, blank=True, on_delete=models.CASCADE, related_name="entries"
    )
    chore = models.ForeignKey(
        Chore, null=True, blank=True, on_delete=models.CASCADE, related_name="entries"
    )
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.CASCADE, related_name="entries"
    )
    # Whom it concerns, where that is not the one who acted.
    about = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    actor = models.ForeignKey(
        Member, null=True, blank=True, on_delete=models.SET_NULL, related_name="entries"
    )
    # The helper from outside who acted, by name; then there is no actor.
    helper = models.CharField(max_length=60, blank=True)
    # The shared screen on which the actor touched their mark, if it was one.
    device = models.ForeignKey(
        Device, null=True, blank=True, on_delete=models.SET_NULL, related_name="entries"
    )
    did = models.CharField(max_length=10, choices=Did)
    at = models.DateTimeField()
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    undoes = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="undone_by"
    )
    # Made by the phone, so that sending the same thing twice changes nothing.
    key = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["household", "key"], name="entry_key_once"),
        ]
        indexes = [models.Index(fields=["household", "-at"], name="entry_by_time")]

    def __str__(self) -> str:
        return f"{self.helper or self.actor or 'Evenhouse'} {self.get_did_display()}"


class SwapState(models.TextChoices):
    OFFERED = "offered", "Offered"
    AGREED = "agreed", "Agreed"
    DECLINED = "declined", "Declined"
    WITHDRAWN = "withdrawn", "Withdrawn"


class Swap(models.Model):
    """One member's task offered for another's; how it stands also hangs on both tasks."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="swaps_made")
    offered = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="+")
    wanted = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="+")
    by = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="+")
    to = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="+")
    state = models.CharField(max_length=9, choices=SwapState, default=SwapState.OFFERED)
    at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.offered} for {self.wanted}"

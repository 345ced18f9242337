"""Reading lists for helpers, what may stand on them, and who knocks at their addresses."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import Count, Q, QuerySet

from household.chores.hiding import seen_by
from household.chores.models import State, Task
from household.helpers.models import Comment, HelperList, HouseNote, ListedTask
from household.people.models import Household


def lists(household: Household) -> QuerySet[HelperList]:
    """All lists, the last days first, each with `open_count` and `done_count`."""
    spoken_for = Q(listed__task__state=State.OPEN) & ~Q(listed__task__helper="")
    return (
        HelperList.objects.filter(household=household)
        .annotate(
            open_count=Count("listed", filter=spoken_for),
            done_count=Count("listed", filter=Q(listed__task__state=State.DONE)),
        )
        .order_by("-ends", "-id")
    )


def candidates(helper_list: HelperList, today: date) -> QuerySet[Task]:
    """Open tasks of the list's days that are on no other list, of no request, and no secret.

    What is late counts for today.
    """
    days = Q(opens__lte=helper_list.ends, closes__gte=helper_list.starts)
    if helper_list.starts <= today <= helper_list.ends:
        days |= Q(closes__lt=today)
    free = Q(helper="") | Q(listed__list=helper_list)
    tasks = Task.objects.filter(
        days, free, household=helper_list.household_id, state=State.OPEN, request=None
    )
    return (
        seen_by(tasks, None)
        .select_related("chore", "area", "member", "household")
        .order_by("closes", "id")
    )


def listed(helper_list: HelperList) -> QuerySet[ListedTask]:
    """What stands on a list: what is still spoken for, and what is done."""
    spoken_for = Q(task__state=State.OPEN) & ~Q(task__helper="")
    return (
        ListedTask.objects.filter(spoken_for | Q(task__state=State.DONE), list=helper_list)
        .select_related("task", "task__chore", "task__area", "task__done_by", "task__household")
        .order_by("task__closes", "task__area__position", "task__name", "task__id")
    )


def comments(helper_list: HelperList) -> QuerySet[Comment]:
    return Comment.objects.filter(list=helper_list).order_by("at", "id")


def notes(household: Household, *, archived: bool = False) -> QuerySet[HouseNote]:
    return HouseNote.objects.filter(household=household, archived_at__isnull=not archived).order_by(
        "title", "id"
    )


def knock(token_hash: str) -> HelperList | None:
    """The list that has or had this address."""
    return HelperList.objects.select_related("household").filter(token_hash=token_hash).first()


def is_open(helper_list: HelperList, now: datetime) -> bool:
    """Whether whoever has the address gets in."""
    return helper_list.is_live(helper_list.household.today(now))

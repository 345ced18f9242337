"""Addresses of a week's pages."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from django.urls import reverse

from household.calc.history import week_of
from household.chores.models import Task
from household.people.models import Household
from household.week.queries import Week


def address(week: Week, name: str, first: date | None = None) -> str:
    start = (first or week.first).isoformat()
    return reverse(f"week:{name}", args=[week.household.pk, start])


def page_address(week: Week, *, task: int | None = None, day: date | None = None) -> str:
    """The week's page with a task chosen, or with a day shown (a phone shows one at a time)."""
    asked = {"task": task, "day": day.isoformat() if day else None}
    query = urlencode({name: value for name, value in asked.items() if value is not None})
    return address(week, "week") + (f"?{query}" if query else "")


def task_address(week: Week, name: str, task: Task) -> str:
    return reverse(f"week:{name}", args=[week.household.pk, week.first.isoformat(), task.pk])


def why_address(household: Household, task: Task, today: date) -> str:
    """Where "why me?" is answered: in the week that a task is planned in, or stands in now."""
    day = task.day if task.day is not None and task.day >= today else None
    day = day or max(task.opens, min(today, task.closes))
    if task.closes < today:
        day = today
    first, _ = week_of(day, household.first_weekday)
    return reverse("week:why", args=[household.pk, first.isoformat(), task.pk])

"""Lists for tests, by the room's own actions."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from household.chores.models import Task
from household.helpers import actions
from household.helpers.models import HelperList, HouseNote
from household.people.models import Household, Member
from tests.factories import NOW, TODAY

USUAL: dict[str, Any] = {
    "name": "Rosa",
    "outsider": None,
    "age_band": "adult",
    "starts": TODAY,
    "ends": TODAY,
    "word": "",
    "show_how": True,
    "notes": [],
}


def make_list(
    by: Member,
    tasks: Iterable[Task] = (),
    *,
    starts: date = TODAY,
    ends: date = TODAY,
    now: datetime = NOW,
    **fields: Any,
) -> tuple[HelperList, str]:
    """A list of these tasks with its address; (the list, its token)."""
    made = actions.make_list(
        household=by.household,
        fields={**USUAL, "starts": starts, "ends": ends, **fields},
        by=by,
        now=now,
        key=uuid4(),
    )
    refused = actions.choose_tasks(
        helper_list=made, task_ids=[task.pk for task in tasks], by=by, now=now
    )
    assert not refused
    return made, actions.new_address(helper_list=made, standing=actions.mark_of(made), now=now)


def make_note(household: Household, title: str = "The alarm", words: str = "Code 1") -> HouseNote:
    return actions.add_note(household=household, title=title, words=words)

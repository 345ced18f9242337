"""The demo's house notes and lists for a helper from outside, told through the room's actions."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from household.chores.models import Task
from household.chores.ticking import add_one_off
from household.devices.models import Notice
from household.helpers import actions, doing
from household.helpers.models import HelperList, HouseNote, ListedTask
from household.people.models import AgeBand, Member
from household.requests.outside_models import Outsider

if TYPE_CHECKING:
    from household.demo.load import Loaded


def write_helpers(made: Loaded, data: dict[str, Any], now: datetime) -> None:
    """Dated relative to today; the address of each list is made, and known to nobody."""
    home = made.household
    notes = {
        each["key"]: actions.add_note(household=home, title=each["title"], words=each["words"])
        for each in data["house_notes"]
    }
    names = {each["key"]: each["name"] for each in data["outsiders"]}
    for each in data["helper_lists"]:
        outsider = Outsider.objects.get(household=home, name=names[each["outsider"]])
        _list(made, each, outsider, notes, now)
    Notice.objects.filter(household=home, device=None).delete()
    Member.objects.filter(household=home).update(unseen=0)


def _list(
    made: Loaded,
    each: dict[str, Any],
    outsider: Outsider,
    notes: dict[str, HouseNote],
    now: datetime,
) -> None:
    by = next(member for member in made.members.values() if member.organises)
    then = now + timedelta(days=min(each["starts"], 0))
    fields = {
        "name": outsider.name,
        "outsider": outsider,
        "age_band": AgeBand.ADULT,
        "starts": made.today + timedelta(days=each["starts"]),
        "ends": made.today + timedelta(days=each["ends"]),
        "word": each["word"],
        "show_how": True,
        "notes": [notes[key] for key in each["notes"]],
    }
    found = actions.make_list(household=made.household, fields=fields, by=by, now=then, key=uuid4())
    tasks = [_task(made, task, found, by, then) for task in each["tasks"]]
    ids = [task.pk for task in tasks]
    actions.choose_tasks(helper_list=found, task_ids=ids, by=by, now=then)
    actions.new_address(helper_list=found, standing=actions.mark_of(found), now=then)
    for task, told in zip(tasks, each["tasks"], strict=True):
        if told["comment"] is not None:
            _done(found, task, told, then)


def _task(
    made: Loaded, told: dict[str, Any], found: HelperList, by: Member, then: datetime
) -> Task:
    task = add_one_off(
        household=made.household,
        actor=by,
        now=then,
        name=told["name"],
        minutes=told["minutes"],
        opens=found.starts,
        closes=found.ends,
        member=None,
        area_id=made.areas[told["area"]].pk,
    )
    Task.objects.filter(pk=task.pk).update(level=told["level"])
    return task


def _done(found: HelperList, task: Task, told: dict[str, Any], then: datetime) -> None:
    rows = ListedTask.objects.select_related("list__household", "task__household", "task__chore")
    doing.tick(listed=rows.get(task=task), now=then, key=None)
    doing.comment(
        listed=rows.get(task=task),
        words=told["comment"],
        minutes=told["took"],
        now=then,
        key=uuid4(),
    )

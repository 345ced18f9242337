"""Making lists for helpers from outside, choosing their tasks, and ending them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Q

from household.chores.changes import touch
from household.chores.helping import give_back, speak_for
from household.chores.models import State, Task
from household.helpers.models import HelperList, HouseNote, ListedTask
from household.helpers.queries import candidates
from household.kit.errors import Conflict, Refused
from household.kit.secret_address import hash_of, new_token
from household.kit.writing import writes
from household.people.models import Household, Member

FIELDS = ("name", "outsider", "age_band", "starts", "ends", "word", "show_how")


@writes
def make_list(
    *, household: Household, fields: Mapping[str, Any], by: Member, now: datetime, key: UUID
) -> HelperList:
    """A list without tasks and without an address. Sending it again gives the same list back."""
    made = HelperList.objects.filter(household=household, key=key).first()
    if made is None:
        made = HelperList.objects.create(
            household=household,
            made_by=by,
            created_at=now,
            key=key,
            **{name: fields[name] for name in FIELDS},
        )
        made.notes.set(fields["notes"])
    return made


@writes
def change_list(
    *, helper_list: HelperList, fields: Mapping[str, Any], by: Member, now: datetime
) -> list[str]:
    """Other days, another name, other notes. What no longer fits goes back to anyone.

    A list whose days were over has its tasks again, where nobody has taken them since. Returns
    a sentence for each task that stays off.
    """
    give_tasks_back(listed=_open_listed(helper_list), actor=by, now=now)
    for name in FIELDS:
        setattr(helper_list, name, fields[name])
    helper_list.save(update_fields=FIELDS)
    helper_list.notes.set(fields["notes"])
    touch(helper_list.household_id)
    if helper_list.stopped_at is not None:
        return []
    return _speak_again(helper_list, by, now)


@writes
def choose_tasks(
    *, helper_list: HelperList, task_ids: Collection[int], by: Member, now: datetime
) -> list[str]:
    """Put these open tasks on the list and take all other open ones off it.

    Returns a sentence for each task that cannot be on it.
    """
    today = helper_list.household.today(now)
    if not helper_list.is_live(today):
        raise Refused(over_words(helper_list))
    wanted = set(task_ids)
    leaving = [each for each in _open_listed(helper_list) if each.task_id not in wanted]
    give_tasks_back(listed=leaving, actor=by, now=now)
    ListedTask.objects.filter(pk__in=[each.pk for each in leaving]).delete()
    found = candidates(helper_list, today).filter(pk__in=wanted)
    return _put_on(helper_list, found, by, now)


@writes
def new_address(*, helper_list: HelperList, standing: str, now: datetime) -> str:
    """A new address; the one before it opens nothing from now on. Returns its token.

    `standing` is the mark of the address that is to be replaced (`mark_of`): a form that is
    sent twice replaces it once.
    """
    if mark_of(helper_list) != standing:
        raise Conflict("It has a new address already, which was shown when it was made.")
    if not helper_list.is_live(helper_list.household.today(now)):
        raise Refused(over_words(helper_list))
    token = new_token()
    HelperList.objects.filter(pk=helper_list.pk).update(token_hash=hash_of(token), opened_at=None)
    helper_list.refresh_from_db(fields=["token_hash", "opened_at"])
    return token


def mark_of(helper_list: HelperList) -> str:
    """Tells one address of a list from the next; of no use for finding it."""
    return (helper_list.token_hash or "none")[:12]


def over_words(helper_list: HelperList) -> str:
    if helper_list.stopped_at is not None:
        return "This list is stopped. Let it answer again first."
    return "The days of this list are over. Give it other days first."


@writes
def stop_list(*, helper_list: HelperList, by: Member, now: datetime) -> None:
    """The address opens nothing from now on, and what is still to do is anyone's."""
    if HelperList.objects.filter(pk=helper_list.pk, stopped_at=None).update(stopped_at=now):
        give_tasks_back(listed=_open_listed(helper_list), actor=by, now=now)
        touch(helper_list.household_id)


@writes
def start_list(*, helper_list: HelperList, by: Member, now: datetime) -> list[str]:
    """The address answers again, with those of its tasks that nobody has taken since."""
    HelperList.objects.filter(pk=helper_list.pk).update(stopped_at=None)
    helper_list.stopped_at = None
    touch(helper_list.household_id)
    return _speak_again(helper_list, by, now)


@writes
def release_over(*, households: Sequence[int], today: date, now: datetime) -> int:
    """What is spoken for by a list that has ended is anyone's again; returns how many tasks."""
    ended = Q(listed=None) | Q(listed__list__ends__lt=today) | ~Q(listed__list__stopped_at=None)
    spoken_for = Task.objects.filter(ended, household__in=households, state=State.OPEN)
    tasks = list(spoken_for.exclude(helper="").select_related("household", "chore"))
    for task in tasks:
        give_back(task=task, actor=None, now=now)
    return len(tasks)


def give_tasks_back(*, listed: Iterable[ListedTask], actor: Member | None, now: datetime) -> None:
    for each in listed:
        give_back(task=each.task, actor=actor, now=now)


def _open_listed(helper_list: HelperList) -> list[ListedTask]:
    found = helper_list.listed.filter(task__state=State.OPEN)
    return list(found.select_related("task", "task__household", "task__chore"))


def _speak_again(helper_list: HelperList, by: Member, now: datetime) -> list[str]:
    """Tasks of the list that are still anyone's are spoken for once more."""
    today = helper_list.household.today(now)
    if not helper_list.is_live(today):
        return []
    found = candidates(helper_list, today).filter(listed__list=helper_list, member=None, helper="")
    return _put_on(helper_list, found, by, now)


def _put_on(helper_list: HelperList, tasks: Iterable[Task], by: Member, now: datetime) -> list[str]:
    refused = []
    for task in tasks:
        try:
            speak_for(
                task=task,
                helper=helper_list.name,
                age_band=helper_list.age_band,
                actor=by,
                now=now,
            )
        except Refused as error:
            refused.append(error.message)
        else:
            ListedTask.objects.update_or_create(task=task, defaults={"list": helper_list})
    return refused


@writes
def add_note(*, household: Household, title: str, words: str) -> HouseNote:
    return HouseNote.objects.create(household=household, title=title, words=words)


@writes
def change_note(*, note: HouseNote, title: str, words: str) -> None:
    note.title, note.words = title, words
    note.save(update_fields=["title", "words"])


@writes
def archive_note(*, note: HouseNote, now: datetime) -> None:
    """It stands on no list any more, and can be brought back."""
    HouseNote.objects.filter(pk=note.pk, archived_at=None).update(archived_at=now)


@writes
def restore_note(*, note: HouseNote) -> None:
    HouseNote.objects.filter(pk=note.pk).update(archived_at=None)

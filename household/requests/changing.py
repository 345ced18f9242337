"""The one way in which a request changes: a targeted update, a line of history, a word to tell."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from household.chores import ticking
from household.chores.models import State
from household.devices.actions import tell
from household.devices.models import Device
from household.kit.errors import NotAllowed, Refused
from household.people.actions import touch_household
from household.people.models import Member
from household.requests.models import Happened, Request, RequestEvent, Standing

CLOSED = (Standing.DONE, Standing.THANKED, Standing.WITHDRAWN)


def must_be_open(asked: Request, standing: Standing) -> None:
    if standing in CLOSED:
        raise Refused(f"It stands as “{str(standing.label).lower()}” already.")


def must_be_askers(asked: Request, actor: Member) -> None:
    if asked.asker_id != actor.pk and not actor.organises:
        who = asked.asker.name if asked.asker else "an organiser"
        raise NotAllowed(f"Only {who} or an organiser can change that.")


def skip_task(asked: Request, actor: Member, reason: str, now: datetime) -> None:
    task = asked.task
    if task is not None and task.state == State.OPEN:
        today = asked.household.today(now)
        ticking.skip(task=task, member=actor, reason=reason, now=now, horizon=today)


def change(asked: Request, now: datetime, **fields: Any) -> None:
    for name, value in fields.items():
        setattr(asked, name, value)
    asked.changed_at = now
    Request.objects.filter(pk=asked.pk).update(**fields, changed_at=now)
    touch_household(asked.household_id)


def note(
    asked: Request,
    actor: Member,
    did: Happened,
    now: datetime,
    *,
    words: str = "",
    device: Device | None = None,
) -> None:
    RequestEvent.objects.create(
        household_id=asked.household_id,
        request=asked,
        actor=actor,
        device=device,
        did=did,
        words=words[:200],
        at=now,
    )
    touch_household(asked.household_id)


def tell_asker(asked: Request, actor: Member, words: str, now: datetime) -> None:
    asker = asked.asker
    if asker is not None and asker.pk != actor.pk:
        tell(to=asker, words=words, path=path_to(asked), now=now)


def path_to(asked: Request) -> str:
    return f"requests/{asked.pk}/"

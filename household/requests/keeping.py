"""People outside, what they would take, the register, and how a household wants to be helped."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction

from household.chores.actions import create_chore
from household.chores.models import Chore
from household.kit.errors import Refused
from household.kit.writing import writes
from household.people.actions import touch_household
from household.people.models import Household, Member
from household.requests.changing import CLOSED, change, note
from household.requests.models import (
    Estimate,
    Happened,
    HelpSettings,
    Reminding,
    Request,
    Standing,
)
from household.requests.outside_models import Appliance, Outsider
from household.requests.servicing import Service
from household.requests.standing import stands

NAME_TAKEN = "Somebody of that name is on the list already. Add what tells them apart."


@writes
def add_outsider(*, household: Household, fields: Mapping[str, Any]) -> Outsider:
    outsider = Outsider(household=household, **fields)
    _save_outsider(outsider)
    return outsider


@writes
def change_outsider(*, outsider: Outsider, fields: Mapping[str, Any]) -> Outsider:
    for name, value in fields.items():
        setattr(outsider, name, value)
    _save_outsider(outsider)
    return outsider


@writes
def archive_outsider(*, outsider: Outsider, now: datetime) -> None:
    """Put away; the jobs and what they cost stay."""
    outsider.archived_at = outsider.archived_at or now
    outsider.save(update_fields=["archived_at"])
    touch_household(outsider.household_id)


@writes
def restore_outsider(*, outsider: Outsider) -> None:
    outsider.archived_at = None
    _save_outsider(outsider)


def _save_outsider(outsider: Outsider) -> None:
    try:
        with transaction.atomic():
            outsider.save()
    except IntegrityError:
        raise Refused(NAME_TAKEN, field="name") from None
    touch_household(outsider.household_id)


@writes
def add_estimate(
    *,
    asked: Request,
    actor: Member,
    now: datetime,
    amount: Decimal,
    outsider: Outsider | None,
    who: str,
    valid_until: date | None = None,
    note_words: str = "",
) -> Estimate:
    """Note what somebody would take. The same one again is the same row."""
    name = outsider.name if outsider else who.strip()
    if not name:
        raise Refused("Say whose estimate it is.", field="outsider")
    fields = {"outsider": outsider, "who": name, "amount": amount, "valid_until": valid_until}
    before = asked.estimates.filter(**fields).first()
    if before is not None:
        return before
    estimate = Estimate.objects.create(
        household=asked.household, request=asked, note=note_words, **fields
    )
    note(asked, actor, Happened.ESTIMATE, now, words=name)
    return estimate


@writes
def choose_estimate(*, estimate: Estimate, actor: Member, now: datetime) -> Request:
    """This one it is: whoever gave it does the job."""
    asked = estimate.request
    if stands(asked) in CLOSED:
        raise Refused("That is over already.")
    if estimate.chosen:
        return asked
    asked.estimates.filter(chosen=True).update(chosen=False)
    Estimate.objects.filter(pk=estimate.pk).update(chosen=True)
    if stands(asked) == Standing.TAKEN:
        change(asked, now, outsider=estimate.outsider)
    else:
        change(asked, now, standing=Standing.OUTSIDE, outsider=estimate.outsider)
    note(asked, actor, Happened.CHOSE, now, words=estimate.who)
    return asked


@writes
def add_appliance(*, household: Household, fields: Mapping[str, Any]) -> Appliance:
    appliance = Appliance.objects.create(household=household, **fields)
    touch_household(household.pk)
    return appliance


@writes
def change_appliance(*, appliance: Appliance, fields: Mapping[str, Any]) -> Appliance:
    for name, value in fields.items():
        setattr(appliance, name, value)
    appliance.save(update_fields=[*fields])
    touch_household(appliance.household_id)
    return appliance


@writes
def archive_appliance(*, appliance: Appliance, now: datetime) -> None:
    appliance.archived_at = appliance.archived_at or now
    appliance.save(update_fields=["archived_at"])
    touch_household(appliance.household_id)


@writes
def restore_appliance(*, appliance: Appliance) -> None:
    appliance.archived_at = None
    appliance.save(update_fields=["archived_at"])
    touch_household(appliance.household_id)


@writes
def add_service(
    *, appliance: Appliance, service: Service, actor: Member, now: datetime, horizon: date
) -> Chore:
    """Make a suggested upkeep chore for an appliance; one that it has already stays the one."""
    if appliance.area is None:
        raise Refused("Say first in which area it stands.", field="area")
    before = appliance.chores.filter(name=service.name, archived_at=None).first()
    if before is not None:
        return before
    chore = create_chore(
        household=appliance.household,
        actor=actor,
        now=now,
        horizon=horizon,
        name=service.name,
        area=appliance.area,
        keeper=actor,
        starts=appliance.household.today(now),
        **service.columns,
    )
    appliance.chores.add(chore)
    return chore


@writes
def set_help(*, household: Household, fields: Mapping[str, Any]) -> HelpSettings:
    found, _ = HelpSettings.objects.update_or_create(household=household, defaults=dict(fields))
    touch_household(household.pk)
    return found


@writes
def remind_at(*, member: Member, when: str) -> None:
    """When this member wants to be reminded of what they took on."""
    Reminding.objects.update_or_create(member=member, defaults={"when": when})
    touch_household(member.household_id)

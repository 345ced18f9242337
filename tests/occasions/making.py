"""Occasions, lead jobs and gifts for tests, with sensible defaults."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from household.occasions import actions, giving
from household.occasions.actions import Wanted
from household.occasions.giving import Present
from household.occasions.models import Gift, LeadJob, Occasion
from household.people.models import Household, Member
from tests.factories import NOW


def make_occasion(
    household: Household,
    actor: Member,
    name: str = "Dev’s birthday",
    *,
    concerns: Sequence[Member] = (),
    now: datetime = NOW,
    **fields: Any,
) -> Occasion:
    """A birthday on 9 April: four weeks after the tests' own day."""
    usual: dict[str, Any] = {"kind": "birthday", "month": 4, "day": 9}
    return actions.add_occasion(
        household=household,
        actor=actor,
        wanted=Wanted({"name": name, **usual, **fields}, concerns),
        now=now,
    )


def make_job(household: Household, name: str = "Ring them", **fields: Any) -> LeadJob:
    usual: dict[str, Any] = {"days_before": 3, "window_days": 2, "minutes": 20, "private": False}
    kind = "" if fields.get("occasion") else fields.pop("kind", "birthday")
    occasion = fields.pop("occasion", None)
    return actions.add_job(
        household=household,
        now=NOW,
        kind=kind,
        occasion=occasion,
        fields={"name": name, **usual, **fields},
    )


def make_gift(
    household: Household,
    actor: Member,
    idea: str = "A telescope",
    *,
    members: Sequence[Member] = (),
    occasion: Occasion | None = None,
    **fields: Any,
) -> Gift:
    return giving.add_gift(
        household=household,
        actor=actor,
        present=Present({"idea": idea, **fields}, members),
        now=NOW,
        occasion=occasion,
    )

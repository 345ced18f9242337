"""Who may do a chore: age, hazard and skill are hard limits, never weighed against anything."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from household.calc import dangers, limits
from household.chores.models import Chore, Task
from household.people.models import Member


def refusal(chore: Chore, member: Member) -> str:
    """Why this member may not do it, as a sentence; empty when they may."""
    if chore.may and member.pk not in chore.may:
        return f"{member.name} is not among those who do “{chore.name}”."
    return hard_refusal(chore, member)


def hard_refusal(chore: Chore, member: Member) -> str:
    """The same for age, hazard and skill alone: whoever else lends a hand may have done it."""
    refused = limits.may_do(
        limits.AgeBand(member.age_band),
        member.skills,
        name=member.name,
        min_age=limits.AgeBand(chore.min_age),
        hazards=[limits.Hazard(hazard) for hazard in chore.hazards],
        needs_skills=[chore.needs_skill] if chore.needs_skill else [],
    )
    return refused.words if refused else ""


def task_refusal(task: Task, member: Member) -> str:
    """Why this member may not be given a task: by its chore's limits, or by its own."""
    if task.chore is not None:
        return refusal(task.chore, member)
    return own_refusal(task.limits, member)


def done_refusal(task: Task, member: Member) -> str:
    """Why this member cannot have done a task: the hard limits, whoever it is meant for."""
    if task.chore is not None:
        return hard_refusal(task.chore, member)
    return own_refusal(task.limits, member)


def own_refusal(own: Mapping[str, Any] | None, member: Member) -> str:
    """The same for the limits of a one-off, as its row holds them."""
    if not own:
        return ""
    if member.pk in own.get("hidden_from", ()):
        return f"{member.name} does not do this one."
    if own.get("may") and member.pk not in own["may"]:
        return f"{member.name} is not among those who do it."
    band = limits.AgeBand(member.age_band)
    words = dangers.refusal(
        own.get("dangers", ()), name=member.name, age_band=band, skills=member.skills
    )
    if words:
        return words
    refused = limits.may_do(
        band,
        member.skills,
        name=member.name,
        min_age=limits.AgeBand(own.get("min_age", limits.AgeBand.UNDER_5)),
        hazards=(),
        needs_skills=(),
    )
    return refused.words if refused else ""


def helper_refusal(task: Task, *, name: str, age_band: str) -> str:
    """Why a helper from outside may not have a task; empty when they may.

    What they have learned is for whoever asks them to know. Age is a hard limit for them too, and
    what is for licensed people is on no helper's list, whoever they are.
    """
    band = limits.AgeBand(age_band)
    if task.chore is not None:
        asked = [limits.Hazard(hazard) for hazard in task.chore.hazards]
        lowest = limits.AgeBand(task.chore.min_age)
    else:
        own = task.limits or {}
        words = dangers.refusal(own.get("dangers", ()), name=name, age_band=band, skills=())
        if words:
            return words
        asked, lowest = [], limits.AgeBand(own.get("min_age", limits.AgeBand.UNDER_5))
    refused = limits.may_do(band, (), name=name, min_age=lowest, hazards=asked, needs_skills=())
    return refused.words if refused else ""


def may_do(chore: Chore, member: Member) -> bool:
    return not refusal(chore, member)


def eligible(chore: Chore, members: Iterable[Member]) -> list[Member]:
    """Those who may do it, in turn order: as the chore lists them, else as they came."""
    fitting = [member for member in members if may_do(chore, member)]
    return sorted(fitting, key=lambda member: _turn(chore.may, member.pk))


def _turn(order: Sequence[int], member_id: int) -> tuple[int, int]:
    place = order.index(member_id) if member_id in order else len(order)
    return place, member_id

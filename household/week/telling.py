"""What settling changes, by person, and telling each of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from household.devices.actions import tell
from household.kit.dates import DateWords
from household.people.models import Member
from household.week.actions import Change
from household.week.queries import Week


@dataclass
class Changed:
    """One person's gains, losses and moves, as sentences."""

    member: Member
    lines: list[str] = field(default_factory=list)


def what_changes(week: Week, made: Sequence[Change], words: DateWords) -> list[Changed]:
    people: dict[int, Changed] = {}

    def told(member: Member, line: str) -> None:
        people.setdefault(member.pk, Changed(member)).lines.append(line)

    for each in made:
        name, day = each.task.name, words.day(each.will.day)
        before = each.task.member
        if before is not None and before.pk != each.will.member.pk:
            told(before, f"{name} goes to {each.will.member.name}")
            told(each.will.member, f"{name}, {day}, from {before.name}")
        elif before is None:
            told(each.will.member, f"{name}, {day}")
        else:
            told(each.will.member, f"{name} moves to {day}")
    return [people[member.pk] for member in week.members if member.pk in people]


def tell_of(week: Week, made: Sequence[Change], *, actor: Member, now: datetime) -> None:
    """Leave each member whom the settling concerns a line on their Today."""
    counts: dict[int, int] = defaultdict(int)
    for each in made:
        counts[each.will.member.pk] += 1
        before = each.task.member_id
        if before is not None and before != each.will.member.pk:
            counts[before] += 0
    words = DateWords(week.household.date_order).span(week.first, week.last)
    for member in week.members:
        if member.pk in counts and member.pk != actor.pk:
            count = counts[member.pk]
            tasks = f"{count} task{'' if count == 1 else 's'} for you" if count else "less for you"
            tell(
                to=member,
                words=f"{actor.name} settled the week of {words}: {tasks}.",
                path="week/",
                now=now,
            )

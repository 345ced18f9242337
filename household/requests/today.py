"""What Today says of requests: who asks, what was done for one, what one has in mind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from household.calc import regions
from household.kit.dates import DateWords
from household.people.models import Household, Member
from household.requests import queries
from household.requests.listing import url_of
from household.requests.models import Remind, Request, Standing, Urgency
from household.requests.standing import done_on, stands

MOST_ON_TODAY = 2  # of each sort: the list of today stays in view
EVENING = 17  # the hour from which it is evening
NOON = 12  # the hour up to which it is morning on weekends
THANKS_DAYS = 14


@dataclass(frozen=True, slots=True)
class TodayLine:
    """One line on Today: who asks for what, or what was done for one."""

    sentence: str
    url: str
    thank_url: str = ""


def for_today(member: Member, now: datetime) -> list[TodayLine]:
    """What concerns this member of requests, in a few lines. One query, mostly.

    What was taken on is named at the time that the helper chose, and at no other.
    """
    household, today = member.household, member.household.today(now)
    concerning = queries.going_on(member)
    done = [each for each in concerning if _is_to_be_thanked(each, member, today)]
    asked = [each for each in concerning if _is_asked(each, member)]
    asked.sort(key=lambda each: (each.urgency != Urgency.NOW, each.to_id is None))
    lines = [
        TodayLine(
            sentence=f"{_doer(each)} for you: {each.what}",
            url=url_of("request", each),
            thank_url=url_of("thank", each),
        )
        for each in done[:MOST_ON_TODAY]
    ]
    lines += [
        TodayLine(
            f"{each.asker.name if each.asker else 'Somebody'} asks: {each.what}",
            url_of("request", each),
        )
        for each in asked[:MOST_ON_TODAY]
    ]
    hour = reminding_hour(household, now)
    promised = [each for each in concerning if _is_promised(each, member, today)] if hour else []
    if promised and queries.reminded(member) == hour:
        lines.append(_reminder(promised))
    return lines


def _is_to_be_thanked(asked: Request, member: Member, today: date) -> bool:
    """Done for this member by somebody else, and not so long ago that it would be a reproach."""
    day = done_on(asked)
    return (
        asked.asker_id == member.pk
        and stands(asked) == Standing.DONE
        and asked.taken_by_id != member.pk
        and (day is None or (today - day).days <= THANKS_DAYS)
    )


def _is_asked(asked: Request, member: Member) -> bool:
    """Whether Today names it: not what anybody may do when it suits, nor what was declined."""
    mine = asked.to_id == member.pk and asked.standing == Standing.ASKED
    anybody = asked.to_id is None and stands(asked) in (Standing.ASKED, Standing.CANNOT)
    return (
        (mine or (anybody and asked.urgency != Urgency.WHENEVER))
        and asked.asker_id != member.pk
        and member.pk not in asked.declined
    )


def _is_promised(asked: Request, member: Member, today: date) -> bool:
    """Taken on for a later day: what stands on today's list already needs no reminder."""
    task = asked.task
    return (
        asked.taken_by_id == member.pk
        and task is not None
        and stands(asked) == Standing.TAKEN
        and (task.day or task.closes) > today
    )


def _reminder(promised: list[Request]) -> TodayLine:
    first = min(promised, key=lambda each: (each.task.closes if each.task else date.max, each.pk))
    who = first.asker.name if first.asker else "somebody"
    more = f" and {len(promised) - 1} more" if len(promised) > 1 else ""
    return TodayLine(f"You have in mind for {who}: {first.what}{more}", url_of("request", first))


def reminding_hour(household: Household, now: datetime) -> str:
    """Which of the times that a helper may choose this is, on the household's own clock."""
    local = now.astimezone(household.zone)
    if local.weekday() in regions.region(household.country).weekend:
        return Remind.WEEKEND if local.hour < NOON else ""
    return Remind.EVENING if local.hour >= EVENING else ""


def warranties(household: Household, today: date) -> list[TodayLine]:
    """What organisers should know while there is still time to claim."""
    words = DateWords(household.date_order)
    return [
        TodayLine(
            f"The warranty of “{each.name}” ends {words.near(each.warranty_until, today)}.",
            url_of("appliance", each),
        )
        for each in queries.warranties_ending(household, today)
        if each.warranty_until is not None
    ]


def _doer(asked: Request) -> str:
    done_by = asked.task.done_by if asked.task else None
    doer = done_by or asked.taken_by
    if doer is not None:
        return f"{doer.name} has done this"
    return f"{asked.outsider.name} has done this" if asked.outsider else "This is done"

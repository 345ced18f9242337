"""Where a request stands, said for those who look: its task's tick counts as done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, tzinfo

from household.chores.models import State
from household.kit.dates import DateWords
from household.people.models import Member
from household.requests.models import Happened, Request, RequestEvent, Standing

TASK_OVER = (State.SKIPPED, State.LAPSED)


def stands(asked: Request) -> Standing:
    """A taken request is done once its task is ticked, and asked anew once that was let go."""
    standing = Standing(asked.standing)
    if standing == Standing.TAKEN:
        if asked.task is None or asked.task.state in TASK_OVER:
            return Standing.CANNOT
        if asked.task.state == State.DONE:
            return Standing.DONE
    return standing


def doer_of(asked: Request) -> str:
    """Who did it: whoever ticked the task, else who took it on or the person outside."""
    if asked.task is not None and asked.task.done_by is not None:
        return asked.task.done_by.name
    if asked.outsider is not None and asked.taken_by is None:
        return asked.outsider.name
    if asked.taken_by is not None:
        return asked.taken_by.name
    return asked.outsider.name if asked.outsider else ""


def done_on(asked: Request) -> date | None:
    return asked.done_on or (asked.task.done_on if asked.task else None)


def standing_words(asked: Request, words: DateWords, today: date) -> str:
    """ "Dev does it on Saturday", "Waiting for Greta": one line, for everybody alike."""
    standing = stands(asked)
    if standing == Standing.ASKED:
        return f"Waiting for {asked.to.name}" if asked.to else "Waiting for somebody"
    if standing == Standing.TAKEN:
        return f"{_name(asked.taken_by)} does it {_when(asked, words, today)}"
    if standing == Standing.CANNOT:
        who = asked.to.name if asked.to and asked.standing == Standing.CANNOT else "Nobody"
        return "Nobody can just now" if who == "Nobody" else f"{who} can’t just now"
    if standing == Standing.OUTSIDE:
        return f"With {asked.outsider.name}" if asked.outsider else "Somebody outside is looked for"
    if standing in (Standing.DONE, Standing.THANKED):
        return _done_words(asked, words, today, thanked=standing == Standing.THANKED)
    return "Not needed any more"


def _done_words(asked: Request, words: DateWords, today: date, *, thanked: bool) -> str:
    by, day = doer_of(asked), done_on(asked)
    parts = ["Done"]
    if by:
        parts.append(f"by {by}")
    if day:
        parts.append(words.near(day, today))
    return f"{' '.join(parts)}{', and thanked' if thanked else ''}"


def _when(asked: Request, words: DateWords, today: date) -> str:
    task = asked.task
    assert task is not None
    if task.day is not None:
        near = words.near(task.day, today)
        return near if near in ("today", "tomorrow", "yesterday") else f"on {near}"
    return f"by {words.near(task.closes, today)}"


def _name(member: Member | None) -> str:
    return member.name if member else "Somebody"


@dataclass(frozen=True, slots=True)
class EventLine:
    """A line of the history, drawn by web/_history.html."""

    when: str
    who: str
    shape: str
    hue: str
    what: str
    undo_url: str = ""


def event_lines(
    events: list[RequestEvent], words: DateWords, zone: tzinfo, today: date
) -> list[EventLine]:
    return [
        EventLine(
            when=words.moment(event.at, zone, today),
            who=event.actor.name if event.actor else "Somebody",
            shape=event.actor.shape if event.actor else "",
            hue=event.actor.hue if event.actor else "",
            what=_what(event),
        )
        for event in events
    ]


def _what(event: RequestEvent) -> str:
    told = str(Happened(event.did).label)
    joined = f"{told} {event.words}" if event.did == Happened.ASKED_AGAIN else told
    if event.words and event.did != Happened.ASKED_AGAIN:
        joined = f"{told}: {event.words}"
    return f"{joined} on “{event.device.label}”" if event.device else joined

"""A feed's whole file: its pieces, their texts, and the calendar around them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Final

from household.calc.feed_events import (
    Alarms,
    CalendarFacts,
    EventFacts,
    calendar_text,
    event_text,
    todo_text,
)
from household.feeds.kinds import KINDS, MEMBER
from household.feeds.models import Feed
from household.feeds.shown import Shown, home_id
from household.feeds.texts import texts
from household.people.models import Hue, Role

# The CSS3 names nearest to the members' hues, for calendar programs that take a colour.
COLORS: Final = {
    Hue.BLUE.value: "royalblue",
    Hue.BRICK.value: "sienna",
    Hue.GREEN.value: "seagreen",
    Hue.VIOLET.value: "rebeccapurple",
    Hue.TEAL.value: "teal",
    Hue.PLUM.value: "mediumvioletred",
}
EVENTS: Final = "events"
TODOS: Final = "todos"


def shown_of(feed: Feed, today: date, base: str) -> Shown:
    return Shown(
        household=feed.household,
        owner=feed.owner,
        today=today,
        base=base,
        member_id=feed.member_id,
        area_id=feed.area_id,
        named=feed.kind != MEMBER,
        hide_titles=feed.hide_titles,
        include_done=feed.include_done,
        links_chores=feed.owner.role != Role.CHILD,
        alarms=Alarms(feed.alarm_at, feed.alarm_minutes),
    )


def calendar_file(feed: Feed, what: str, today: date, base: str) -> bytes | None:
    """The file of `what` (EVENTS or TODOS); None where a kind has no to-dos."""
    kind, shown = KINDS.get(feed.kind), shown_of(feed, today, base)
    source = (kind.todos if what == TODOS else kind.source) if kind else None
    if source is None:
        return None
    write: Callable[[EventFacts], str] = todo_text
    if what == EVENTS:
        write = partial(event_text, alarms=shown.alarms)
    found = texts(source(shown), (what, shown.style), write)
    home = home_id(feed.household)
    facts = CalendarFacts(
        uid=f"feed{feed.pk}-{what}@{home}.evenhouse", name=name_of(feed), color=color_of(feed)
    )
    return calendar_text(facts, found)


def name_of(feed: Feed) -> str:
    """What calendar programs call it: "Marit, Larch Cottage"."""
    subject = feed.member or feed.area
    return f"{subject}, {feed.household}" if subject else str(feed.household)


def color_of(feed: Feed) -> str:
    return COLORS.get(feed.member.hue, "") if feed.member else ""

"""Requests as events: each on the day on which it is done, wished for, or was asked.

An open one stands in the calendar however long ago it was asked. Only those that the feed's
owner may see are in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q
from django.urls import reverse

from household.calc import dangers
from household.calc.feed_events import EventFacts
from household.feeds.shown import Piece, Shown
from household.feeds.wording import Wording
from household.requests import queries
from household.requests.models import HelpKind, Request, Standing, Urgency
from household.requests.standing import doer_of, done_on, stands

FINISHED = (Standing.DONE, Standing.THANKED)


def request_pieces(shown: Shown) -> Iterator[Piece]:
    """Every request of the feed's days, and the open ones before them."""
    yield from _pieces(shown, _requests(shown))


def request_todos(shown: Shown) -> Iterator[Piece]:
    """Those that are to be done by a day, as to-dos show them."""
    dated = (each for each in _requests(shown) if each.asked.by or each.asked.task)
    yield from _pieces(shown, dated)


@dataclass(frozen=True, slots=True)
class _Dated:
    asked: Request
    standing: Standing
    day: date
    changes: int

    @property
    def finished(self) -> bool:
        return self.standing in FINISHED


def _requests(shown: Shown) -> Iterator[_Dated]:
    seen = queries.with_people(queries.visible(shown.household, shown.owner))
    # Of each request, how much has happened to it: it grows with every change.
    seen = seen.annotate(changes=Count("events")).order_by("id")
    found = list(queries.standing_open(seen))
    if shown.include_done:
        days = (shown.first, shown.last)
        done = queries.finished(seen)
        found += done.filter(Q(done_on__range=days) | Q(done_on=None, task__done_on__range=days))
    for asked in found:
        standing = stands(asked)
        day = _day(asked, standing, shown)
        if day <= shown.last:
            yield _Dated(asked, standing, day, asked.changes)  # type: ignore[attr-defined]


def _day(asked: Request, standing: Standing, shown: Shown) -> date:
    if standing in FINISHED:
        return done_on(asked) or shown.household.today(asked.changed_at)
    if standing == Standing.TAKEN and asked.task is not None:
        return asked.task.day or asked.task.closes
    return asked.by or shown.household.today(asked.created_at)


def _pieces(shown: Shown, found: Iterable[_Dated]) -> Iterator[Piece]:
    teller = _Teller(shown)
    for each in found:
        asked, task = each.asked, each.asked.task
        names = (asked.asker, asked.to, asked.taken_by, asked.outsider, asked.area)
        version = (
            asked.changed_at,
            each.standing,
            each.changes,
            (task.sequence, task.changed_at, task.done_by) if task else None,
            tuple(map(str, names)),
        )
        yield Piece(("request", asked.pk), version, teller.facts_of(each))


class _Teller:
    """Puts a request into an event's words. None hangs on the day on which it is read."""

    def __init__(self, shown: Shown) -> None:
        self._wording = Wording(shown, "a request")
        address = reverse("requests:request", args=[shown.household.pk, 0])
        self._url = shown.base + address.removesuffix("0/")

    def facts_of(self, each: _Dated) -> Callable[[], EventFacts]:
        return lambda: self._facts(each)

    def _facts(self, each: _Dated) -> EventFacts:
        asked, task = each.asked, each.asked.task
        taken = task if each.standing == Standing.TAKEN else None
        changed_at = max(asked.changed_at, task.changed_at if task else asked.changed_at)
        area = asked.area.name if asked.area else ""
        kind = [str(HelpKind(asked.kind).label), area]
        if not each.finished:
            kind.append(str(Urgency(asked.urgency).label).lower())
        return self._wording.event(
            f"r{asked.pk}",
            changed_at,
            each.changes + (task.sequence if task else 0),
            title=asked.what,
            who=doer_of(asked) if each.finished else _doer(asked, each.standing),
            day=each.day,
            at=taken.time if taken else None,
            minutes=taken.minutes if taken else 0,
            lines=[
                ", ".join(part for part in kind if part),
                f"Asked by {asked.asker}." if asked.asker else "",
                _standing_line(asked, each.standing),
                *(f"{first} {rest}".strip() for first, rest in dangers.cautions(asked.dangers)),
                asked.details,
            ],
            category=area,
            url=f"{self._url}{asked.pk}/",
            done=each.finished,
            done_at=task.done_at if task else None,
        )


def _doer(asked: Request, standing: Standing) -> str:
    """Whom it is with: who does it, or who is asked by name."""
    if standing == Standing.TAKEN:
        return str(asked.taken_by or "")
    if standing == Standing.OUTSIDE:
        return str(asked.outsider or "")
    return str(asked.to or "") if standing == Standing.ASKED else ""


def _standing_line(asked: Request, standing: Standing) -> str:
    who = _doer(asked, standing)
    if standing in FINISHED:
        by = doer_of(asked)
        return f"Done by {by}." if by else "Done."
    if standing == Standing.ASKED:
        return f"Waiting for {who or 'somebody'}."
    if standing == Standing.TAKEN:
        return f"{who or 'Somebody'} does it."
    if standing == Standing.OUTSIDE:
        return f"With {who}." if who else "Somebody outside is looked for."
    return "Nobody can just now."

"""The demo's requests, people outside and appliances, told through the room's own actions."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from household.chores import ticking
from household.devices.models import Notice
from household.people.models import Member
from household.requests import actions, asking, keeping
from household.requests.models import Request
from household.requests.outside_models import Appliance, Outsider
from household.requests.queries import USUAL

if TYPE_CHECKING:
    from household.demo.load import Loaded


def write_requests(made: Loaded, data: dict[str, Any], now: datetime) -> None:
    """Everything about help, dated relative to today; nobody is told of it again."""
    keeping.set_help(household=made.household, fields={**data["help"], "usual": USUAL})
    people = {each["key"]: _outsider(made, each) for each in data["outsiders"]}
    things = {each["key"]: _appliance(made, each) for each in data["appliances"]}
    for each in data["requests"]:
        _request(made, each, people, things, now)
    Notice.objects.filter(household=made.household, device=None).delete()
    Member.objects.filter(household=made.household).update(unseen=0)


def _outsider(made: Loaded, each: dict[str, Any]) -> Outsider:
    fields = {name: each[name] for name in ("name", "trade", "phone", "notes")}
    return keeping.add_outsider(household=made.household, fields=fields)


def _appliance(made: Loaded, each: dict[str, Any]) -> Appliance:
    fields = {name: each[name] for name in ("name", "kind", "model", "manual", "notes")}
    fields |= {
        "area": made.areas[each["area"]],
        "bought_on": _day(made, each["bought"]),
        "bought_from": each["from"],
        "price": Decimal(each["price"]) if each["price"] else None,
        "warranty_until": _day(made, each["warranty"]),
    }
    return keeping.add_appliance(household=made.household, fields=fields)


def _day(made: Loaded, distance: int | None) -> date | None:
    return None if distance is None else made.today + timedelta(days=distance)


def _request(
    made: Loaded,
    each: dict[str, Any],
    people: dict[str, Outsider],
    things: dict[str, Appliance],
    now: datetime,
) -> None:
    then = now - timedelta(days=each["days_ago"])
    asked = asking.ask(
        household=made.household,
        asker=made.members[each["asker"]],
        call=asking.Call(
            what=each["what"],
            details=each["details"],
            kind=each["kind"],
            area=made.areas.get(each["area"] or ""),
            appliance=things.get(each.get("appliance", "")),
            urgency=each["urgency"],
            by=_day(made, each.get("by")),
            to=made.members.get(each["to"] or ""),
        ),
        now=then,
    )
    outcome = each["outcome"] or {}
    if "taken_by" in outcome:
        _taken(made, asked, outcome, then, now)
    elif "outsider" in outcome:
        _outside(made, asked, outcome, people, then, now)


def _taken(
    made: Loaded, asked: Request, outcome: dict[str, Any], then: datetime, now: datetime
) -> None:
    helper = made.members[outcome["taken_by"]]
    actions.take(
        asked=asked,
        member=helper,
        now=then,
        minutes=outcome["minutes"],
        by=made.today + timedelta(days=outcome.get("day", 0)),
        day=_day(made, outcome.get("day")),
    )
    if "done" not in outcome:
        return
    done = now - timedelta(days=outcome["done"])
    assert asked.task is not None
    ticking.tick(task=asked.task, member=helper, now=done, horizon=made.today)
    if outcome.get("parts"):
        told = actions.Outcome(done_on=made.household.today(done), parts=outcome["parts"])
        actions.finish(asked=asked, actor=helper, outcome=told, now=done)
    _thanked(asked, outcome, done)


def _outside(
    made: Loaded,
    asked: Request,
    outcome: dict[str, Any],
    people: dict[str, Outsider],
    then: datetime,
    now: datetime,
) -> None:
    organiser = next(member for member in made.members.values() if member.organises)
    outsider = people[outcome["outsider"]]
    actions.go_outside(asked=asked, actor=organiser, outsider=outsider, now=then)
    for each in outcome.get("estimates", ()):
        keeping.add_estimate(
            asked=asked,
            actor=organiser,
            now=then,
            amount=Decimal(each["amount"]),
            outsider=people.get(each.get("outsider", "")),
            who=each.get("who", ""),
            valid_until=_day(made, each["valid"]),
            note_words=each["note"],
        )
    if "done" in outcome:
        done = now - timedelta(days=outcome["done"])
        told = actions.Outcome(
            done_on=made.household.today(done),
            parts=outcome["parts"],
            cost=Decimal(outcome["cost"]),
            warranty_until=_day(made, outcome["warranty"]),
            outsider=outsider,
        )
        actions.finish(asked=asked, actor=organiser, outcome=told, now=done)
        _thanked(asked, outcome, done)


def _thanked(asked: Request, outcome: dict[str, Any], done: datetime) -> None:
    if outcome.get("thanked") and asked.asker is not None:
        actions.thank(asked=asked, member=asked.asker, now=done)

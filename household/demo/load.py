"""Makes the demo household, dated relative to today."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings

from household.areas.models import Area, Spotlight
from household.calc.recurrence.repeat import Unit
from household.chores.models import Chore
from household.demo.breathers import write_breathers
from household.demo.helpers import write_helpers
from household.demo.history import write_history
from household.demo.occasions import write_occasions
from household.demo.requests import write_requests
from household.kit.writing import writes
from household.people.models import Absence, Account, Household, Member

FILE = "demo.json"
SIGN_INS = "demo_signins.json"
PASSWORD = "{name}-larch-26"
ABOUT = {"organiser": "plans the home", "member": "has a share", "child": "is a child"}


@dataclass
class Loaded:
    """What was made, by the keys of the fixture."""

    household: Household
    today: date
    members: dict[str, Member] = field(default_factory=dict)
    areas: dict[str, Area] = field(default_factory=dict)
    chores: dict[str, Chore] = field(default_factory=dict)
    sign_ins: list[dict[str, str]] = field(default_factory=list)


@writes
def load_demo(*, now: datetime) -> Loaded:
    """Make the demo household and its history; its tasks from today on are the daily job's."""
    data = json.loads((Path(settings.BASE_DIR) / "fixtures" / FILE).read_text(encoding="utf-8"))
    household = Household.objects.create(**data["household"])
    made = Loaded(household, household.today(now))
    for each in data["members"]:
        made.members[each["key"]] = _member(made, each)
    for position, each in enumerate(data["areas"]):
        made.areas[each["key"]] = _area(made, each, position)
    Spotlight.objects.create(
        household=household,
        month=made.today.replace(day=1),
        area=made.areas[data["spotlight"]],
    )
    for each in data["chores"]:
        made.chores[each["key"]] = _chore(made, each)
    write_history(made, data, now)
    write_requests(made, data, now)
    write_breathers(made, data, now)
    write_occasions(made, data, now)
    write_helpers(made, data, now)
    return made


def keep_sign_ins(made: Loaded) -> None:
    """Keep the demo's passwords where the sign-in page and `serve` show them."""
    path = Path(settings.DATA_DIR) / SIGN_INS
    path.write_text(json.dumps(made.sign_ins, indent=1), encoding="utf-8")


def _member(made: Loaded, each: dict[str, Any]) -> Member:
    account = None
    if each["sign_in"]:
        password = PASSWORD.format(name=each["username"])
        account = Account.objects.create_user(each["username"], password)
        made.sign_ins.append(
            {
                "name": each["username"],
                "password": password,
                "shape": each["shape"],
                "hue": each["hue"],
                "about": ABOUT[each["role"]],
            }
        )
    names = (
        "name",
        "shape",
        "hue",
        "role",
        "age_band",
        "weight",
        "free_minutes",
        "skills",
        "dislikes",
    )
    member = Member.objects.create(
        household=made.household, account=account, **{name: each[name] for name in names}
    )
    for away in each["absences"]:
        Absence.objects.create(
            member=member,
            starts=made.today + timedelta(days=away["starts"]),
            ends=made.today + timedelta(days=away["ends"]),
            every_weeks=away.get("every_weeks"),
            note=away.get("note", ""),
        )
    return member


def _area(made: Loaded, each: dict[str, Any], position: int) -> Area:
    names = ("name", "kind", "floor_area_m2", "tidy_days", "clean_days", "deep_days")
    return Area.objects.create(
        household=made.household,
        owner=made.members.get(each["owner"] or ""),
        position=position,
        **{name: each.get(name) for name in names},
    )


def _chore(made: Loaded, each: dict[str, Any]) -> Chore:
    repeat, who = each["repeat"], each["who"]
    copied = (
        "name",
        "kind",
        "level",
        "treatment",
        "minutes",
        "importance",
        "keep_minutes",
        "min_age",
        "hazards",
        "needs_skill",
        "caution",
        "how_to",
        "missed",
        "grace_days",
    )
    return Chore.objects.create(
        household=made.household,
        area=made.areas[each["area"]],
        keeper=made.members.get(each["keeper"] or ""),
        who=who["how"],
        fixed=made.members.get(who["fixed"] or ""),
        may=[made.members[key].pk for key in who["may"]],
        repeat=repeat["kind"],
        rule=repeat["rule"] or "",
        every=repeat["every"] or 1,
        unit=repeat["unit"] or Unit.WEEKS,
        window=repeat["window"],
        months=repeat["months"] or [],
        on_holiday=repeat["on_holiday"],
        on_away=repeat["on_away"],
        starts=made.today + timedelta(days=repeat["start"]),
        time=time.fromisoformat(repeat["time"]) if repeat["time"] else None,
        **{name: each[name] for name in copied},
    )

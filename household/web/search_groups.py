"""What can be found, room by room. To add a room, write what it offers and add a line to GROUPS.

Each group reads its rows with one query, and offers only what the member may open.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.db.models import F, Q
from django.urls import reverse

from household.areas.queries import areas
from household.breathers.models import Company
from household.breathers.queries import ideas
from household.chores.hiding import seen_by
from household.chores.models import State, Task
from household.chores.queries import chores
from household.kit.dates import DateWords
from household.occasions.queries import occasions
from household.occasions.wording import rule_words
from household.people.access import EVERYBODY, GROWN
from household.people.models import Member, Role
from household.people.queries import members
from household.requests import queries as requests
from household.requests.outside_models import Appliance
from household.requests.standing import standing_words

# How far back a task that is done is still looked for; its chore is found for ever.
BACK: Final = timedelta(days=92)


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing that may be found: its name, where it leads, a line about it, more to match."""

    name: str
    url: str
    about: str = ""
    also: tuple[str, ...] = ()

    @property
    def texts(self) -> tuple[str, ...]:
        return (self.name, self.about, *self.also)


@dataclass(frozen=True, slots=True)
class Group:
    """One kind of thing. `find` gives all of it that a member may know of, best order first."""

    key: str
    title: str
    find: Callable[[Member, date], Iterable[Hit]]
    roles: Collection[Role] = EVERYBODY


def _base(name: str, member: Member) -> str:
    """The address of a row without its number, since making thousands costs most."""
    return reverse(name, args=[member.household_id, 0]).removesuffix("0/")


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def tasks(member: Member, today: date) -> Iterator[Hit]:
    """Of each chore the next task and the last one done, and every one-off."""
    seen: set[tuple[int, str]] = set()
    words, base = DateWords(member.household.date_order), _base("web:task", member)
    for row in _tasks(member, today):
        key = (row["chore_id"] or -row["id"], row["state"])
        if key in seen:
            continue
        seen.add(key)
        who = row["member__name"] or "for anyone"
        when = f"by {words.near(row['day'] or row['closes'], today)}"
        if row["state"] == State.DONE:
            who, when = row["done_by__name"] or "", f"done {words.near(row['done_on'], today)}"
        about = _joined(when, who, row["area__name"] or "")
        yield Hit(row["name"], f"{base}{row['id']}/", about, (row["note"],))


def _tasks(member: Member, today: date) -> Iterator[dict[str, Any]]:
    """Open ones by their days, then what was done, newest first."""
    done = Q(state=State.DONE, done_on__gte=today - BACK)
    done &= Q(chore=None) | Q(done_on=F("chore__last_done_on"))
    every = Task.objects.filter(Q(state=State.OPEN) | done, household=member.household)
    rows = seen_by(every, member)
    if not requests.is_adult(member) and not member.organises:
        # What a dangerous request asks is for adults, and for the child that asked.
        rows = rows.exclude(Q(request__for_adults=True) & ~Q(request__asker=member))
    columns = ("id", "chore_id", "name", "state", "closes", "day", "done_on", "note")
    joined = ("member__name", "done_by__name", "area__name")
    found = list(rows.order_by("closes", "id").values(*columns, *joined))
    yield from (row for row in found if row["state"] == State.OPEN)
    yield from (row for row in reversed(found) if row["state"] == State.DONE)


def standing_chores(member: Member, today: date) -> Iterator[Hit]:
    base = _base("chores:chore", member)
    rows = chores(member.household).order_by("name", "id")
    columns = ("id", "name", "area__name", "how_to", "caution", "keeper__name")
    for pk, name, area, how_to, caution, keeper in rows.values_list(*columns):
        yield Hit(name, f"{base}{pk}/", area, (how_to, caution, keeper or ""))


def parts_of_home(member: Member, today: date) -> Iterator[Hit]:
    listed = reverse("areas:list", args=[member.household_id])
    base = _base("areas:area", member)
    for area in areas(member.household).select_related("owner"):
        url = f"{base}{area.pk}/" if member.organises else f"{listed}#area-{area.pk}"
        yield Hit(area.name, url, f"{area.owner.name}’s" if area.owner else "")


def asked(member: Member, today: date) -> Iterator[Hit]:
    base, words = _base("requests:request", member), DateWords(member.household.date_order)
    found = requests.with_people(requests.visible(member.household, member))
    for each in found.order_by("-created_at", "-id"):
        asker = f"{each.asker.name} asks" if each.asker else ""
        where = each.area.name if each.area else ""
        about = _joined(asker, where, standing_words(each, words, today))
        yield Hit(each.what, f"{base}{each.pk}/", about, (each.details, each.parts))


def people_at_home(member: Member, today: date) -> Iterator[Hit]:
    base = _base("web:today_of", member)
    for each in members(member.household):
        yield Hit(each.name, f"{base}{each.pk}/", "What is there today")


def people_outside(member: Member, today: date) -> Iterator[Hit]:
    base = _base("requests:outsider", member)
    rows = requests.people_outside(member.household)
    for each in rows.order_by("name", "id"):
        also = (each.notes, each.phone, each.phone.replace(" ", ""))
        yield Hit(each.name, f"{base}{each.pk}/", _joined(each.trade, each.phone), also)


def register(member: Member, today: date) -> Iterator[Hit]:
    base = _base("requests:appliance", member)
    rows = Appliance.objects.filter(household=member.household, archived_at=None)
    for each in rows.select_related("area").order_by("name", "id"):
        where = each.area.name if each.area else ""
        also = (each.kind, each.bought_from, each.notes)
        yield Hit(each.name, f"{base}{each.pk}/", _joined(where, each.model), also)


def what_does_good(member: Member, today: date) -> Iterator[Hit]:
    listed, base = (
        reverse("breathers:list", args=[member.household_id]),
        _base("breathers:idea", member),
    )
    for each in ideas(member.household, member):
        may = each.owner_id in (None, member.pk)
        whose = "only you see it" if each.private else str(Company(each.company).label)
        yield Hit(each.name, f"{base}{each.pk}/" if may else listed, whose)


def what_is_coming(member: Member, today: date) -> Iterator[Hit]:
    """Occasions; a gift is never found."""
    base, words = _base("occasions:occasion", member), DateWords(member.household.date_order)
    for each in occasions(member.household).prefetch_related(None).order_by("name", "id"):
        also = (each.get_kind_display(), each.notes)
        yield Hit(each.name, f"{base}{each.pk}/", rule_words(each, words), also)


GROUPS: Final = (
    Group("tasks", "Tasks", tasks),
    Group("chores", "Chores", standing_chores, GROWN),
    Group("areas", "Areas", parts_of_home),
    Group("requests", "Requests", asked),
    Group("occasions", "Occasions", what_is_coming),
    Group("members", "People at home", people_at_home),
    Group("outside", "People outside", people_outside, GROWN),
    Group("register", "The register", register, GROWN),
    Group("breathers", "What does us good", what_does_good),
)

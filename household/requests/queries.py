"""Reading requests, people outside and the register."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Count, Max, Prefetch, Q, QuerySet, Sum

from household.areas.models import Area
from household.calc.help_numbers import help_numbers
from household.chores.models import State, Task
from household.kit.by_hand import SelectModels
from household.people.models import AgeBand, Household, Member, Role
from household.requests.models import (
    Estimate,
    HelpKind,
    HelpSettings,
    Photo,
    Remind,
    Reminding,
    Request,
    RequestEvent,
    Standing,
)
from household.requests.outside_models import Appliance, Outsider

OPEN = (Standing.ASKED, Standing.CANNOT, Standing.OUTSIDE, Standing.TAKEN)
USUAL: list[dict[str, str]] = [
    {"kind": HelpKind.REPAIR, "what": "Something drips"},
    {"kind": HelpKind.REPAIR, "what": "The light does not come on"},
    {"kind": HelpKind.LIFT, "what": "A lift there and back"},
    {"kind": HelpKind.CARRYING, "what": "Something heavy to carry"},
    {"kind": HelpKind.OPINION, "what": "Have a look and tell me"},
    {"kind": HelpKind.ERRAND, "what": "Bring something along"},
]


def is_adult(member: Member) -> bool:
    """Who may see and take what is for grown-ups."""
    return member.role != Role.CHILD and member.age_band == AgeBand.ADULT


def visible(household: Household, member: Member) -> QuerySet[Request]:
    """Requests that a member may see: a child's dangerous one is for adults and that child."""
    found = Request.objects.filter(household=household)
    if not is_adult(member) and not member.organises:
        found = found.filter(Q(for_adults=False) | Q(asker=member))
    return found


def with_people(found: QuerySet[Request]) -> QuerySet[Request]:
    """Ready for a list: everybody and everything that a line names, in the one query."""
    return found.select_related(
        "asker", "to", "taken_by", "area", "task", "task__done_by", "outsider", "device"
    )


def for_page(found: QuerySet[Request]) -> QuerySet[Request]:
    return (
        with_people(found)
        .select_related("household", "appliance")
        .prefetch_related(
            Prefetch("photos", Photo.objects.order_by("id")),
            Prefetch("estimates", Estimate.objects.select_related("outsider")),
            Prefetch("events", RequestEvent.objects.select_related("actor", "device")),
        )
    )


def standing_open(found: QuerySet[Request]) -> QuerySet[Request]:
    """Not finished yet; a taken one whose task is ticked is."""
    return found.filter(standing__in=OPEN).exclude(standing=Standing.TAKEN, task__state=State.DONE)


def to_be_thanked(found: QuerySet[Request], asker: Member) -> QuerySet[Request]:
    """Done for this member, who has not said thank you yet."""
    done = Q(standing=Standing.DONE) | Q(standing=Standing.TAKEN, task__state=State.DONE)
    return found.filter(done, asker=asker).exclude(taken_by=asker)


def finished(found: QuerySet[Request]) -> QuerySet[Request]:
    return found.filter(
        Q(standing__in=(Standing.DONE, Standing.THANKED))
        | Q(standing=Standing.TAKEN, task__state=State.DONE)
    )


def asked_of(found: QuerySet[Request], member: Member) -> QuerySet[Request]:
    """Open ones that this member may still answer: asked by name, or anybody is asked."""
    mine = Q(to=member, standing=Standing.ASKED) | Q(
        to=None, standing__in=(Standing.ASKED, Standing.CANNOT)
    )
    given_back = Q(standing=Standing.TAKEN, task__state__in=(State.SKIPPED, State.LAPSED))
    return found.filter(mine | given_back).exclude(asker=member)


_GOING_ON = SelectModels(
    "FROM household_request r "
    "LEFT JOIN household_member asker ON asker.id = r.asker_id "
    "LEFT JOIN household_member taker ON taker.id = r.taken_by_id "
    "LEFT JOIN household_outsider outsider ON outsider.id = r.outsider_id "
    "LEFT JOIN household_task task ON task.id = r.task_id "
    "LEFT JOIN household_member doer ON doer.id = task.done_by_id "
    "WHERE r.household_id = %s AND (%s OR r.for_adults = %s OR r.asker_id = %s) "
    "AND (r.standing IN (%s, %s, %s, %s) "
    "OR (r.standing = %s AND r.asker_id = %s)) "
    "AND (r.standing <> %s OR r.asker_id = %s OR task.state IS NULL OR task.state <> %s) "
    "ORDER BY r.created_at DESC, r.id DESC",
    r=Request,
    asker=Member,
    taker=Member,
    outsider=Outsider,
    task=Task,
    doer=Member,
)


def going_on(member: Member) -> list[Request]:
    """Everything that may concern a member today: open ones, and what was done for them.

    Asked whenever Today is made, and so by hand, with everybody whom its lines name.
    """
    sees_all = is_adult(member) or member.organises
    rows = _GOING_ON.read(
        *(member.household_id, sees_all, False, member.pk),
        *(each.value for each in OPEN),
        *(Standing.DONE.value, member.pk),
        *(Standing.TAKEN.value, member.pk, State.DONE.value),
    )
    for asked, asker, taker, outsider, task, doer in rows:
        asked.household, asked.asker, asked.taken_by = member.household, asker, taker
        asked.outsider, asked.task = outsider, task
        if task is not None:
            task.done_by = doer
    return [row[0] for row in rows]


def mended_in(area: Area) -> QuerySet[Request]:
    """What was done in an area, with parts, cost and warranty, newest first."""
    done = finished(Request.objects.filter(household_id=area.household_id, area=area))
    return with_people(done).order_by("-created_at", "-id")


def helpers(household: Household, asker: Member | None, *, adults_only: bool) -> list[Member]:
    """Whom one may ask."""
    people = Member.objects.filter(household=household, archived_at=None).order_by("id")
    return [
        member
        for member in people
        if (asker is None or member.pk != asker.pk) and (not adults_only or is_adult(member))
    ]


def settings_of(household: Household) -> HelpSettings:
    """The household's own, or the country's usual ones, not saved."""
    found = HelpSettings.objects.filter(household=household).first()
    if found is not None:
        return found
    known = help_numbers(household.country, household.subdivision)
    return HelpSettings(
        household=household, emergency=known.emergency, gas=known.gas, usual=list(USUAL)
    )


def reminded(member: Member) -> str:
    found = Reminding.objects.filter(member=member).values_list("when", flat=True).first()
    return found or Remind.EVENING


@dataclass(frozen=True, slots=True)
class Known:
    """Somebody outside, how many jobs they did here, what those cost, and when the last was."""

    row: Outsider
    jobs: int
    paid: Decimal | None
    last_on: date | None


def people_outside(household: Household, *, archived: bool = False) -> QuerySet[Outsider]:
    return Outsider.objects.filter(household=household, archived_at__isnull=not archived)


def outsiders(household: Household, *, archived: bool = False) -> list[Known]:
    """People outside by trade, in one query."""
    done = Q(requests__standing__in=(Standing.DONE, Standing.THANKED))
    found = (
        people_outside(household, archived=archived)
        .annotate(
            jobs=Count("requests", filter=done),
            paid=Sum("requests__cost", filter=done),
            last_on=Max("requests__done_on", filter=done),
        )
        .order_by("trade", "name", "id")
    )
    return [Known(each, each.jobs, each.paid, each.last_on) for each in found]


def jobs_of(outsider: Outsider) -> QuerySet[Request]:
    return with_people(outsider.requests.all()).order_by("-created_at", "-id")


def appliances(household: Household, *, archived: bool = False) -> QuerySet[Appliance]:
    """The register by area."""
    return (
        Appliance.objects.filter(household=household, archived_at__isnull=not archived)
        .select_related("area")
        .annotate(open_requests=Count("requests", filter=Q(requests__standing__in=OPEN)))
        .order_by("area__position", "area_id", "name", "id")
    )


WARRANTY_SOON = timedelta(days=60)


def warranties_ending(household: Household, today: date) -> QuerySet[Appliance]:
    """Appliances whose warranty ends within two months."""
    return Appliance.objects.filter(
        household=household,
        archived_at=None,
        warranty_until__gte=today,
        warranty_until__lte=today + WARRANTY_SOON,
    ).order_by("warranty_until", "id")

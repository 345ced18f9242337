"""One request as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from household.calc import dangers, free_time
from household.chores.eligibility import own_refusal
from household.chores.models import State, Task
from household.kit.dates import DateWords
from household.people.models import Member
from household.people.queries import absences_of
from household.requests import queries
from household.requests.forms import AgainForm, DangersForm, DoneForm, TakeForm
from household.requests.listing import emergency_words, kind_words, money, url_of
from household.requests.models import HelpKind, HelpSettings, Request, Standing, Urgency
from household.requests.outside_forms import EstimateForm, OutsideForm
from household.requests.standing import event_lines, standing_words, stands

MINUTES = {
    HelpKind.REPAIR: 30,
    HelpKind.LIFT: 30,
    HelpKind.OPINION: 10,
    HelpKind.CARRYING: 10,
    HelpKind.ERRAND: 30,
    HelpKind.OTHER: 20,
}
WITHIN = {Urgency.NOW: 0, Urgency.SOON: 3, Urgency.WHENEVER: 14}  # days, where none was said
LOOK_AHEAD = 7
OPEN = (Standing.ASKED, Standing.CANNOT, Standing.OUTSIDE)
FINISHED = (Standing.DONE, Standing.THANKED)
OVER = (*FINISHED, Standing.WITHDRAWN)


@dataclass(frozen=True, slots=True)
class EstimateRow:
    who: str
    amount: str
    valid: str
    past: bool
    note: str
    chosen: bool
    choose_url: str


def request_page(asked: Request, member: Member, now: datetime, **forms: Any) -> dict[str, Any]:
    """The context of requests/request.html; `forms` are those that were refused."""
    household = asked.household
    today, words = household.today(now), DateWords(household.date_order)
    standing, help_by = stands(asked), queries.settings_of(household)
    adult = queries.is_adult(member)
    return {
        "asked": asked,
        "standing": standing,
        "standing_words": standing_words(asked, words, today),
        "facts": _facts(asked, words, today, help_by),
        "photos": [
            {"url": url_of("photo", each), "away_url": _away(asked, each, member), "photo": each}
            for each in asked.photos.all()
        ],
        "emergencies": emergency_words(asked.emergencies, help_by) if standing not in OVER else [],
        "cautions": dangers.cautions(asked.dangers) if standing not in OVER else [],
        "whom": dangers.whom_to_ask(asked.dangers),
        "history": event_lines(list(asked.events.all()), words, household.zone, today),
        "urls": {
            name: url_of(name, asked)
            for name in (
                *("take", "cannot", "give_back", "again", "outside", "finish"),
                *("thank", "withdraw", "dangers", "estimate", "text"),
            )
        },
        **_may(asked, member, standing, adult=adult),
        **_outside(asked, words, today, help_by, adult=adult),
        **_forms(asked, member, today, help_by, standing, adult=adult),
        **forms,
    }


def _facts(
    asked: Request, words: DateWords, today: date, help_by: HelpSettings
) -> list[tuple[str, str]]:
    urgency = str(Urgency(asked.urgency).label)
    if asked.by is not None:
        urgency += f", by {words.near(asked.by, today)}"
    warranty = ""
    if asked.warranty_until is not None:
        warranty = words.full(asked.warranty_until)
    known = [
        ("Kind", kind_words(asked)),
        ("Where", asked.area.name if asked.area else ""),
        ("About", asked.appliance.name if asked.appliance else ""),
        ("How soon", urgency),
        ("Asked of", _asked_of(asked)),
        ("Parts", asked.parts),
        ("Cost", money(asked.cost, help_by.currency)),
        ("Warranty until", warranty),
    ]
    return [(name, value) for name, value in known if value]


def _asked_of(asked: Request) -> str:
    if asked.to is not None:
        return asked.to.name
    return "the grown-ups" if asked.for_adults else "anybody"


def _away(asked: Request, photo: Any, member: Member) -> str:
    mine = asked.asker_id == member.pk or member.organises
    return url_of("photo_away", photo) if mine else ""


def _may(asked: Request, member: Member, standing: Standing, *, adult: bool) -> dict[str, bool]:
    """What this member is offered here."""
    mine = asked.asker_id == member.pk
    answers = standing in OPEN and not mine
    work = {"dangers": list(asked.dangers), "min_age": "adult"} if asked.dangers else None
    able = not own_refusal(work, member)
    return {
        "mine": mine,
        "may_take": (answers or (standing in OPEN and mine)) and able,
        "may_arrange": standing in OPEN and not able and adult and asked.outsider is None,
        "may_refuse": answers and member.pk not in asked.declined,
        "may_give_back": standing == Standing.TAKEN and asked.taken_by_id == member.pk,
        "may_ask_again": (mine or member.organises) and standing in OPEN,
        "may_withdraw": (mine or member.organises) and standing in (*OPEN, Standing.TAKEN),
        "may_thank": mine and standing == Standing.DONE and asked.taken_by_id != member.pk,
        "may_finish": adult and standing in (Standing.OUTSIDE, Standing.TAKEN, *FINISHED),
        "may_outside": adult and standing in (*OPEN, Standing.TAKEN),
        "may_say_dangers": adult and standing not in OVER,
    }


def _outside(
    asked: Request, words: DateWords, today: date, help_by: HelpSettings, *, adult: bool
) -> dict[str, Any]:
    """Estimates and whom they are from: not for children."""
    if not adult:
        return {"estimates": []}
    return {
        "outsider_url": url_of("outsider", asked.outsider) if asked.outsider else "",
        "estimates": [
            EstimateRow(
                who=each.who,
                amount=money(each.amount, help_by.currency),
                valid=words.near(each.valid_until, today) if each.valid_until else "",
                past=each.valid_until is not None and each.valid_until < today,
                note=each.note,
                chosen=each.chosen,
                choose_url=url_of("choose", each),
            )
            for each in asked.estimates.all()
        ],
    }


def _forms(
    asked: Request,
    member: Member,
    today: date,
    help_by: HelpSettings,
    standing: Standing,
    *,
    adult: bool,
) -> dict[str, Any]:
    forms: dict[str, Any] = {}
    if standing in OPEN:
        minutes = MINUTES[HelpKind(asked.kind)]
        by = max(asked.by or today + timedelta(days=WITHIN[Urgency(asked.urgency)]), today)
        day = day_with_room(member, minutes, today, by)
        initial = {"minutes": minutes, "by": by, "day": day}
        forms["take_form"] = TakeForm(today=today, initial=initial)
        forms["suggested"] = day
        forms["again_form"] = AgainForm(asked=asked, initial={"to": asked.to_id})
    if adult:
        forms["outside_form"] = OutsideForm(
            household=asked.household, initial={"outsider": asked.outsider_id}
        )
        forms["estimate_form"] = EstimateForm(asked=asked, currency=help_by.currency)
        forms["done_form"] = DoneForm(
            asked=asked, currency=help_by.currency, initial=_outcome(asked, today)
        )
        forms["dangers_form"] = DangersForm(initial={"dangers": asked.dangers})
    return forms


def _outcome(asked: Request, today: date) -> dict[str, Any]:
    names = ("parts", "cost", "warranty_until")
    done_on = asked.done_on or (asked.task.done_on if asked.task else None) or today
    initial = {name: getattr(asked, name) for name in names}
    return {**initial, "done_on": done_on, "outsider": asked.outsider_id}


def day_with_room(member: Member, minutes: int, today: date, by: date) -> date | None:
    """The first day up to `by` on which this member has so many minutes left; None if none has."""
    days = [today + timedelta(days=n) for n in range(LOOK_AHEAD) if today + timedelta(days=n) <= by]
    if not days:
        return None
    planned: dict[date, int] = {}
    rows = Task.objects.filter(
        member=member, state=State.OPEN, day__range=(days[0], days[-1])
    ).values_list("day", "minutes")
    for day, taken in rows:
        if day is not None:
            planned[day] = planned.get(day, 0) + taken
    absences = absences_of(member)
    for day in days:
        free = free_time.free_minutes(day, member.free_minutes, absences)
        if free - planned.get(day, 0) >= minutes:
            return day
    return None

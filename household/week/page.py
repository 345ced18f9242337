"""The week as its page shows it: who has room for what, and when."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.urls import reverse

from household.areas.models import Spotlight
from household.calc.names import DAYS, MONTHS
from household.chores.models import Task
from household.kit.dates import DateWords
from household.kit.words import duration, listed
from household.week.ahead import feasts
from household.week.cells import Row, rows_of
from household.week.extras import extra_rows
from household.week.links import address, page_address
from household.week.places import where_in
from household.week.queries import Week
from household.week.waiting import alike, chosen_task, loose_of

ORDINALS = ("First", "Second", "Third", "Fourth", "Fifth")
# Less room than this in a whole week is not worth offering for something of one's own.
BREATHER_MINUTES = 20


def week_page(week: Week, *, chosen: Task | None, day: date | None) -> dict[str, Any]:
    """The context of the page; with a `chosen` task, the cells it fits in are marked."""
    words = DateWords(week.household.date_order)
    placed = {task.pk: where_in(week, task) for task in week.tasks}
    rows = rows_of(week, placed, chosen)
    shown = day if day in week.days else (week.today if week.today in week.days else week.first)
    picked = chosen_task(week, chosen, rows, words, shown) if chosen else None
    return {
        "week": week,
        "plan": week.plan,
        "title": words.span(week.first, week.last),
        "standing": standing(week, words),
        "place": place_in_month(week),
        "days": _days(week, shown, picked),
        "shown": week.days.index(shown),
        "shown_day": shown.isoformat(),
        "rows": rows,
        "extra_rows": extra_rows(week.household, week.days),
        "chosen": picked,
        "has_draft": bool(week.plan.draft),
        "undo_words": week.plan.steps[-1]["words"] if week.plan.steps else "",
        "rooms": breather_words(rows),
        "eased": len(week.plan.fitted),
        "strength": week.plan.strength,
        "from_today": week.first < week.today <= week.last,
        "changed_since": changed_since(week),
        **_waiting(week, placed, chosen, words, shown),
        **_links(week, shown, chosen),
    }


def _waiting(
    week: Week, placed: dict[int, Any], chosen: Task | None, words: DateWords, shown: date
) -> dict[str, Any]:
    """Tasks without a place: those with a person, the household's own, and what may wait."""
    loose = [task for task in week.tasks if placed[task.pk] is None]
    must = [task for task in loose if week.must_be_placed(task)]
    may = [task for task in loose if not week.must_be_placed(task)]
    known = {member.pk for member in week.members}

    def lines(tasks: list[Task]) -> list[Any]:
        return alike(loose_of(week, task, chosen, words, shown) for task in tasks)

    return {
        "loose": lines([task for task in must if task.member_id in known]),
        "ours": lines([task for task in must if task.member_id not in known]),
        "loose_minutes": sum(task.minutes for task in must),
        "may_wait": lines(may),
        "may_wait_count": len(may),
        "spoken_for": spoken_words(week),
    }


def spoken_words(week: Week) -> str:
    """What somebody from outside does in this week; empty where nothing is."""
    if not week.spoken_for:
        return ""
    count, minutes = len(week.spoken_for), sum(task.minutes for task in week.spoken_for)
    names = listed(sorted({task.helper for task in week.spoken_for}))
    tasks = "1 task" if count == 1 else f"{count} tasks"
    return f"{tasks}, {duration(minutes)}: on the list of {names}, from outside."


def _links(week: Week, shown: date, chosen: Task | None) -> dict[str, Any]:
    names = ("share", "settle", "undo", "notes", "fit", "lighten", "have_back")
    urls = {name: f"{address(week, f'week_{name}')}?day={shown.isoformat()}" for name in names}
    asked = page_address(week, task=chosen.pk if chosen else None, day=shown).partition("?")[2]
    month = _month(week)
    return {
        "urls": {**urls, "proof": f"{address(week, 'week_proof')}?{asked}"},
        "week_url": address(week, "week"),
        "here_url": page_address(week, task=chosen.pk if chosen else None, day=shown),
        "earlier_url": address(week, "week", week.first - timedelta(days=7)),
        "later_url": address(week, "week", week.first + timedelta(days=7)),
        "month_url": reverse("week:month", args=[week.household.pk, month.year, month.month]),
        "ahead_url": reverse("week:ahead", args=[week.household.pk]),
    }


def standing(week: Week, words: DateWords) -> str:
    """Draft or settled, in words."""
    plan = week.plan
    if plan.draft:
        return "Draft. Who has room for what, and when?"
    if plan.settled_at is None:
        return "Not planned yet. Who has room for what, and when?"
    when = words.moment(plan.settled_at, week.household.zone, week.today)
    by = f" by {plan.settled_by.name}" if plan.settled_by else ""
    return f"Settled{by}, {when}."


def changed_since(week: Week) -> bool:
    """Whether somebody changed a task of the week, elsewhere, after it was settled."""
    settled = week.plan.settled_at
    if settled is None or week.plan.draft:
        return False
    return any(task.changed_at > settled for task in week.tasks)


def _month(week: Week) -> date:
    """The month that holds most of the week: that of its fourth day."""
    return week.days[3].replace(day=1)


def place_in_month(week: Week) -> str:
    """Third week of November. Spotlight: the kitchen."""
    month = _month(week)
    number = (week.days[3].day - 1) // 7
    last = (week.days[3] + timedelta(days=7)).month != month.month
    which = "Last" if last else ORDINALS[number]
    words = f"{which} week of {MONTHS[month.month - 1]}."
    lit = Spotlight.objects.filter(household=week.household, month=month).select_related("area")
    spotlight = lit.first()
    return f"{words} Spotlight: {spotlight.area.name}." if spotlight else words


def _days(week: Week, shown: date, picked: dict[str, Any] | None) -> list[dict[str, Any]]:
    names = feasts(week.household, week.first, week.last)
    fitting = picked["fitting"] if picked else ()
    return [
        {
            "name": DAYS[day.weekday()],
            "label": f"{DAYS[day.weekday()][:3]} {day.day}",
            "notes": [
                text
                for text in (names.get(day, ""), week.plan.day_notes.get(day.isoformat(), ""))
                if text
            ],
            "is_today": day == week.today,
            "past": day < week.today,
            "shown": day == shown,
            "fits": day.isoformat() in fitting,
            "url": page_address(week, task=picked["task"].pk if picked else None, day=day),
        }
        for day in week.days
    ]


def breather_words(rows: list[Row]) -> list[str]:
    """Who has minutes of their own left, on which day most of them; the roomiest first."""
    left = [(row, [cell for cell in row.cells if not cell.past]) for row in rows]
    found = []
    for row, cells in left:
        room = row.free - row.used
        if room < BREATHER_MINUTES:
            continue
        best = max(cells, key=lambda cell: cell.free - cell.used, default=None)
        if best is None:
            continue
        day = DAYS[date.fromisoformat(best.day).weekday()]
        sentence = f"{row.member.name} has {room} minutes of room, most of it on {day}."
        found.append((room, sentence))
    return [sentence for _, sentence in sorted(found, key=lambda pair: -pair[0])]

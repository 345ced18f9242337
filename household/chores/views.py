"""The chores' pages: the list, a chore, adding and changing one."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.calc import holidays
from household.chores import actions, queries
from household.chores.estimating import usual_of, worth_taking
from household.chores.forms import ChoreForm, FilterForm
from household.chores.horizon import horizon_of
from household.chores.listing import chore_page, groups
from household.chores.models import Chore
from household.chores.rhythm_form import (
    RhythmForm,
    preview_of,
    rhythm_initial,
    shown_back,
)
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import go_to, render_error, render_page
from household.people.access import MemberRequest, grown_only, organiser_only, own
from household.people.models import Household

# What a link to the form for a new chore may fill in.
PREFILLED = ("name", "area", "counted", "starts")


def _chore(request: MemberRequest, chore_id: int) -> Chore:
    every = Chore.objects.select_related("area", "area__owner", "household", "keeper", "fixed")
    return own(every, request.household, pk=chore_id)


@grown_only
@require_GET
def chore_list(request: MemberRequest) -> HttpResponse:
    household = request.household
    form = FilterForm(request.GET or None, household=household)
    wanted = form.cleaned_data if form.is_bound and form.is_valid() else {}
    chores, today = list(queries.filtered(household, **wanted)), household.today(timezone.now())
    context = {
        "groups": groups(chores, household, today),
        "total": len(chores),
        "filtered": any(wanted.values()),
        "filter_form": form,
        "add_url": reverse("chores:add", args=[household.pk]) if request.member.organises else "",
    }
    if request.member.organises:
        off = worth_taking(household, chores, (), today)
        context |= {
            "off_count": len(off),
            "off_url": reverse("chores:minutes", args=[household.pk]),
        }
    return render_page(request, "chores/list.html", context, fragment="chores/_list.html")


@grown_only
@require_GET
def chore(request: MemberRequest, chore_id: int) -> HttpResponse:
    now = timezone.now()
    found = _chore(request, chore_id)
    context = chore_page(found, request.household, now)
    context["may_change"] = request.member.organises
    return render_page(request, "chores/chore.html", context)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    today = household.today(now)
    initial = {name: request.GET[name] for name in PREFILLED if name in request.GET}
    form = ChoreForm(request.POST or None, household=household, today=today, initial=initial)
    if request.method == "POST" and form.is_valid():
        made = actions.create_chore(
            household=household,
            actor=request.member,
            now=now,
            horizon=horizon_of(today),
            **form.values(),
        )
        messages.success(request, f"“{made.name}” is on the plan.")
        return go_to(request, reverse("chores:list", args=[household.pk]))
    return _form_page(request, form, today, None)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: MemberRequest, chore_id: int) -> HttpResponse:
    household, now = request.household, timezone.now()
    today, found = household.today(now), _chore(request, chore_id)
    form = ChoreForm(request.POST or None, household=household, today=today, instance=found)
    if request.method == "POST" and form.is_valid():
        values = form.values()
        actions.change_chore(
            chore=_chore(request, chore_id),
            actor=request.member,
            now=now,
            horizon=horizon_of(today),
            **values,
        )
        messages.success(request, f"“{values['name']}” is changed.")
        return go_to(request, reverse("chores:chore", args=[household.pk, chore_id]))
    return _form_page(request, form, today, _chore(request, chore_id))


def _form_page(
    request: MemberRequest, form: ChoreForm, today: date, chore: Chore | None
) -> HttpResponse:
    household = request.household
    words = DateWords(household.date_order)
    closed = _holidays(household, today)
    if form.is_bound:
        preview = preview_of(form, words, closed, today)
    elif chore is not None:
        preview = shown_back(chore.as_repeat(household.first_weekday), words, closed, today)
    else:
        first = rhythm_initial(None, today, household.first_weekday)
        preview = preview_of(
            RhythmForm(first, week_start=household.first_weekday), words, closed, today
        )
    back = reverse("chores:list", args=[household.pk])
    context: dict[str, Any] = {
        "form": form,
        "chore": chore,
        "preview": preview,
        "preview_url": reverse("chores:preview", args=[household.pk]),
        "cancel_url": back,
    }
    if chore is not None:
        _say_usual(form, chore, today)
        at = [household.pk, chore.pk]
        context["cancel_url"] = reverse("chores:chore", args=at)
        context["archive_url"] = reverse("chores:archive", args=at)
        context["copy_url"] = reverse("chores:copy", args=at)
    return render_page(request, "chores/form.html", context, fragment="chores/_form.html")


def _say_usual(form: ChoreForm, chore: Chore, today: date) -> None:
    """What the ticks say, beside the field; a touch fills it in."""
    usual = usual_of(chore, (), today)
    if usual is None:
        return
    words = f"{usual.words}."
    if usual.worth_taking:
        words = format_html(
            '{} <button class="act" type="button" data-fills="id_minutes" data-with="{}">'
            "Take {}</button>",
            words,
            usual.minutes,
            usual.minutes,
        )
    form.fields["minutes"].help_text = words


def _holidays(household: Household, today: date) -> dict[date, str]:
    return holidays.public_holidays(
        household.country, household.subdivision or None, today, today + timedelta(days=800)
    )


@organiser_only
@require_GET
def rhythm_preview(request: MemberRequest) -> HttpResponse:
    """The sentence and the next ten dates of what the controls say right now."""
    household = request.household
    today = household.today(timezone.now())
    form = RhythmForm(request.GET, week_start=household.first_weekday)
    preview = preview_of(form, DateWords(household.date_order), _holidays(household, today), today)
    return render_page(
        request, "chores/_preview.html", {"preview": preview}, fragment="chores/_preview.html"
    )


@organiser_only
@require_POST
def archive(request: MemberRequest, chore_id: int) -> HttpResponse:
    found = _chore(request, chore_id)
    actions.archive_chore(chore=found, actor=request.member, now=timezone.now())
    messages.success(
        request, f"“{found.name}” is put away. Its page brings it back whenever you like."
    )
    return redirect("chores:chore", request.household.pk, chore_id)


@organiser_only
@require_POST
def restore(request: MemberRequest, chore_id: int) -> HttpResponse:
    now = timezone.now()
    found = _chore(request, chore_id)
    horizon = horizon_of(request.household.today(now))
    try:
        actions.restore_chore(chore=found, actor=request.member, now=now, horizon=horizon)
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"“{found.name}” is back.")
    return redirect("chores:chore", request.household.pk, chore_id)


@organiser_only
@require_POST
def copy(request: MemberRequest, chore_id: int) -> HttpResponse:
    """A copy to change at once: the same in everything but the name."""
    now = timezone.now()
    found = _chore(request, chore_id)
    made = actions.copy_chore(
        chore=found,
        actor=request.member,
        now=now,
        horizon=horizon_of(request.household.today(now)),
    )
    messages.success(request, "This is the copy. Change what is different.")
    return redirect("chores:change", request.household.pk, made.pk)

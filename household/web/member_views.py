"""Adding and changing members and their days away. Here, since tasks follow such changes."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from household.chores import replanning
from household.devices import actions as devices
from household.kit.dates import DateWords
from household.kit.errors import HouseholdError
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.kit.writing import writing
from household.people import absences, actions
from household.people.access import MemberRequest, organiser_only, own
from household.people.forms import AbsenceForm, sent_again
from household.people.member_form import MemberForm
from household.people.models import Absence, Member
from household.week.offering import fill

LIMITS = {"age_band", "skills"}


@sensitive_post_parameters("password")
@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    form = MemberForm(request.POST if request.method == "POST" else None, household=household)
    if form.is_bound and form.is_valid():
        try:
            with writing():
                member = actions.add_member(
                    household=household, particulars=form.particulars(), sign_in=form.sign_in()
                )
                replanning.people_changed(household=household, now=now)
                fill(household, today=household.today(now), now=now)
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{member.name} lives here now.")
            return redirect("people:members", household.pk)
    context = {
        "heading": "Who else lives here?",
        "form": form,
        "save": "Add this member",
        "cancel_url": reverse("people:members", args=[household.pk]),
    }
    return render_page(request, "people/member_form.html", context)


@sensitive_post_parameters("password")
@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: MemberRequest, member_id: int) -> HttpResponse:
    member, now = _member(request, member_id), timezone.now()
    form = MemberForm(
        request.POST if request.method == "POST" else None,
        household=request.household,
        member=member,
    )
    if form.is_bound and form.is_valid():
        try:
            returned = _changed(request, member, form, now)
        except HouseholdError as error:
            form.refuse(error)
        else:
            _say_changed(request, member, returned)
            return redirect("people:members", request.household.pk)
    return _member_page(request, _member(request, member_id), now, form=form)


def _changed(request: MemberRequest, member: Member, form: MemberForm, now: datetime) -> int:
    """Change the member; returns how many tasks they may not do any more."""
    with writing():
        changed = actions.change_member(
            member=member, particulars=form.particulars(), sign_in=form.sign_in()
        )
        if "name" in changed:
            actions.renamed(household=member.household, now=now)
        if not changed & LIMITS:
            return 0
        return replanning.limits_changed(member=member, actor=request.member, now=now)


def _say_changed(request: MemberRequest, member: Member, returned: int) -> None:
    if member.account is not None and member.account == request.user:
        # A new password would sign the organiser who set it out of this very page.
        update_session_auth_hash(request, member.account)
    sentence = f"{member.name} is changed."
    if returned:
        tasks = "1 task that is" if returned == 1 else f"{returned} tasks that are"
        sentence += f" {tasks} not for {member.name} any more can be taken by anyone."
    messages.success(request, sentence)


@organiser_only
@require_POST
def archive(request: MemberRequest, member_id: int) -> HttpResponse:
    member, now = own(_everybody(), request.household, pk=member_id), timezone.now()
    if member.archived_at is not None:
        return redirect("people:members", request.household.pk)
    try:
        with writing():
            actions.archive_member(member=member, now=now)
            devices.member_left(member=member, now=now)
            tasks = replanning.member_left(member=member, actor=request.member, now=now)
    except HouseholdError as error:
        return render_error(request, error)
    if member.pk == request.member.pk:
        return redirect("door:home")
    free = f" Anyone can take the {tasks} open tasks now." if tasks > 1 else ""
    free = " Anyone can take the one open task now." if tasks == 1 else free
    say_with_way_back(
        request,
        f"{member.name} lives here no more.{free}",
        url=_url("restore", member),
        button=f"Bring {member.name} back",
    )
    return redirect("people:members", request.household.pk)


@organiser_only
@require_POST
def restore(request: MemberRequest, member_id: int) -> HttpResponse:
    member = own(_everybody(), request.household, pk=member_id)
    try:
        with writing():
            actions.restore_member(member=member)
            replanning.people_changed(household=request.household, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"{member.name} is back.")
    return redirect("people:members", request.household.pk)


@organiser_only
@require_POST
def add_absence(request: MemberRequest, member_id: int) -> HttpResponse:
    member, now = _member(request, member_id), timezone.now()
    form = AbsenceForm(request.POST)
    if not form.is_valid():
        return _member_page(request, member, now, absence_form=form)
    with writing():
        absences.add_absence(member=member, days=form.days())
        replanning.people_changed(household=request.household, now=now)
    messages.success(request, f"{member.name}’s days away are noted.")
    return redirect("people:member", request.household.pk, member.pk)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_absence(request: MemberRequest, member_id: int, absence_id: int) -> HttpResponse:
    member = _member(request, member_id)
    absence = _absence(request, member, absence_id)
    form = AbsenceForm(request.POST if request.method == "POST" else None, absence=absence)
    if form.is_bound and form.is_valid():
        with writing():
            absences.change_absence(absence=absence, days=form.days())
            replanning.people_changed(household=request.household, now=timezone.now())
        messages.success(request, f"{member.name}’s days away are changed.")
        return redirect("people:member", request.household.pk, member.pk)
    context = {
        "heading": f"When is {member.name} away?",
        "form": form,
        "save": "Keep these days",
        "cancel_url": _url("member", member),
    }
    return render_page(request, "people/absence_form.html", context)


@organiser_only
@require_POST
def remove_absence(request: MemberRequest, member_id: int, absence_id: int) -> HttpResponse:
    """Take days away out; the message puts them back with one touch."""
    member = _member(request, member_id)
    absence = Absence.objects.filter(member=member, pk=absence_id).first()
    if absence is not None:
        with writing():
            days = absences.remove_absence(absence=absence)
            replanning.people_changed(household=request.household, now=timezone.now())
        say_with_way_back(
            request,
            f"{member.name}’s days away are taken out.",
            url=_url("add_absence", member),
            button="Put them back",
            fields=sent_again(days),
        )
    return redirect("people:member", request.household.pk, member.pk)


def _member_page(
    request: MemberRequest,
    member: Member,
    now: datetime,
    *,
    form: MemberForm | None = None,
    absence_form: AbsenceForm | None = None,
) -> HttpResponse:
    """A member's page: the member's form and the days away, one of them perhaps refused."""
    household = request.household
    words, today = DateWords(household.date_order), household.today(now)
    context: dict[str, Any] = {
        "heading": member.name,
        "form": form or MemberForm(household=household, member=member),
        "save": "Keep the changes",
        "cancel_url": reverse("people:members", args=[household.pk]),
        "archive_url": _url("archive", member),
        "archive_words": f"{member.name} lives here no more",
        "absences": [
            {
                "words": absences.absence_words(absence, words, today),
                "url": _url("absence", member, absence.pk),
                "remove_url": _url("remove_absence", member, absence.pk),
            }
            for absence in member.absences.all()
        ],
        "absence_form": absence_form or AbsenceForm(),
        "absence_url": _url("add_absence", member),
    }
    refused = any(each is not None and each.errors for each in (form, absence_form))
    status = 422 if refused else 200
    return render_page(request, "people/member_form.html", context, status=status)


def _everybody() -> Any:
    return Member.objects.select_related("household", "account")


def _member(request: MemberRequest, member_id: int) -> Member:
    found: Member = own(_everybody(), request.household, pk=member_id, archived_at=None)
    return found


def _absence(request: MemberRequest, member: Member, absence_id: int) -> Absence:
    every = Absence.objects.select_related("member").filter(pk=absence_id, member=member)
    found = every.first()
    if found is None:
        raise Http404
    return found


def _url(name: str, member: Member, *more: int) -> str:
    return reverse(f"people:{name}", args=[member.household_id, member.pk, *more])

"""The sets of lead jobs, for organisers; and lead jobs of one occasion, for grown-ups."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from household.kit.errors import HouseholdError
from household.kit.pages import render_page
from household.kit.undo import say_with_way_back
from household.occasions import actions, listing, queries
from household.occasions.job_forms import JobForm, LeapForm
from household.occasions.listing import url_of
from household.occasions.models import LeadJob, Occasion, OccasionKind
from household.occasions.views import occasion_of
from household.people.access import MemberRequest, grown_only, organiser_only, own


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def sets(request: MemberRequest) -> HttpResponse:
    """All sets by kind, and the one choice that goes with them."""
    household = request.household
    settings = actions.ensure_sets(household=household)
    form = LeapForm(request.POST or None, initial={"leap": settings.leap})
    if form.is_bound and form.is_valid():
        actions.keep_leap_day(household=household, leap=form.chosen(), now=timezone.now())
        messages.success(request, "Kept.")
        return redirect("occasions:sets", household.pk)
    jobs = queries.jobs_of(household)
    context = {
        "form": form,
        "sets": [
            {
                "kind": kind,
                "title": label,
                "jobs": [_row(job) for job in jobs.by_kind.get(kind, ())],
                "add_url": reverse("occasions:job_add", args=[household.pk, kind]),
            }
            for kind, label in OccasionKind.choices
        ],
        "list_url": reverse("occasions:list", args=[household.pk]),
    }
    return render_page(request, "occasions/sets.html", context)


def _row(job: LeadJob) -> dict[str, Any]:
    return {"job": job, "url": url_of("job", job)}


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def job_add(request: MemberRequest, kind: str) -> HttpResponse:
    if kind not in OccasionKind.values:
        raise Http404
    back = reverse("occasions:sets", args=[request.household.pk])
    heading = f"{OccasionKind(kind).label}: what is to be done before?"
    return _add(request, heading, back, kind=kind)


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def own_job_add(request: MemberRequest, occasion_id: int) -> HttpResponse:
    occasion = occasion_of(request, occasion_id)
    if not occasion.own_jobs:
        raise Http404
    heading = f"{occasion.name}: what is to be done before?"
    return _add(request, heading, url_of("occasion", occasion), occasion=occasion)


def _add(
    request: MemberRequest,
    heading: str,
    back: str,
    *,
    kind: str = "",
    occasion: Occasion | None = None,
) -> HttpResponse:
    form = JobForm(request.POST or None, household=request.household)
    if form.is_bound and form.is_valid():
        try:
            actions.add_job(
                household=request.household,
                now=timezone.now(),
                fields=form.job_fields(),
                kind=kind,
                occasion=occasion,
            )
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, "It is in the set.")
            return redirect(back)
    context = {"heading": heading, "form": form, "save": "Add it", "cancel_url": back}
    return render_page(request, "occasions/job_form.html", context)


@grown_only
@require_http_methods(["GET", "HEAD", "POST"])
def job(request: MemberRequest, job_id: int) -> HttpResponse:
    row = _job(request, job_id)
    form = JobForm(request.POST or None, household=request.household, job=row)
    if form.is_bound and form.is_valid():
        actions.change_job(job=row, now=timezone.now(), fields=form.job_fields())
        messages.success(request, "Kept. What is still to be done follows it.")
        return redirect(_back(row))
    context = {
        "heading": row.name,
        "form": form,
        "save": "Keep it",
        "cancel_url": _back(row),
        "archive_url": url_of("job_archive", row),
        "archive_words": "Take it out",
    }
    return render_page(request, "occasions/job_form.html", context)


@grown_only
@require_POST
def job_archive(request: MemberRequest, job_id: int) -> HttpResponse:
    row = _job(request, job_id)
    actions.archive_job(job=row, now=timezone.now())
    say_with_way_back(
        request,
        f"“{row.name}” is taken out.",
        url=url_of("job_restore", row),
        button="Put it back",
    )
    return redirect(_back(row))


@grown_only
@require_POST
def job_restore(request: MemberRequest, job_id: int) -> HttpResponse:
    row = _job(request, job_id)
    actions.restore_job(job=row, now=timezone.now())
    messages.success(request, f"“{row.name}” is back.")
    return redirect(_back(row))


def _job(request: MemberRequest, job_id: int) -> LeadJob:
    """A set's job for an organiser; one of an occasion for grown-ups from whom it is not kept."""
    rows = LeadJob.objects.select_related("household", "occasion", "keeper")
    found: LeadJob = own(rows, request.household, pk=job_id)
    if found.occasion is None:
        if not request.member.organises:
            raise Http404
        return found
    living = listing.viewer_of(request.member, request.household.today(timezone.now())).living
    if not queries.sees_job(found, found.occasion, request.member.pk, living):
        raise Http404
    return found


def _back(row: LeadJob) -> str:
    if row.occasion is not None:
        return url_of("occasion", row.occasion)
    return reverse("occasions:sets", args=[row.household_id])

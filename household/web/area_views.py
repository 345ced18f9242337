"""The parts of the home. They stand here since chores say when each was last done."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.areas import actions
from household.areas.forms import AreaForm, SpotlightForm
from household.areas.models import Area
from household.areas.queries import areas, spotlight
from household.chores.area_facts import chores_in
from household.chores.replanning import owner_changed
from household.kit.errors import HouseholdError, Refused
from household.kit.pages import render_error, render_page
from household.kit.undo import say_with_way_back
from household.kit.writing import writing
from household.people.access import MemberRequest, members_only, organiser_only, own
from household.people.actions import renamed
from household.web.area_rows import LEVEL_NAMES, area_rows, month_words, place_urls


@members_only
@require_GET
def area_list(request: MemberRequest) -> HttpResponse:
    return _list_page(request, timezone.now())


def _list_page(
    request: MemberRequest, now: datetime, form: SpotlightForm | None = None
) -> HttpResponse:
    household, today = request.household, request.household.today(now)
    chosen = spotlight(household, today)
    context: dict[str, Any] = {
        "areas": area_rows(household, today, chosen, may_change=request.member.organises),
        "level_names": LEVEL_NAMES,
        "spotlight": {"name": chosen.area.name, "month": month_words(today), "note": ""}
        if chosen
        else None,
    }
    if request.member.organises:
        at = [household.pk]
        context |= {
            "add_url": reverse("areas:add", args=at),
            "spotlight_url": reverse("areas:spotlight", args=at),
            "spotlight_form": form
            or SpotlightForm(
                household=household, initial={"area": chosen.area_id if chosen else None}
            ),
            "archived": [
                {"name": area.name, "restore_url": _url("restore", area)}
                for area in areas(household, archived=True)
            ],
        }
    status = 422 if form is not None else 200
    return render_page(request, "areas/list.html", context, status=status)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: MemberRequest) -> HttpResponse:
    household = request.household
    form = AreaForm(request.POST if request.method == "POST" else None, household=household)
    if form.is_bound and form.is_valid():
        try:
            area = actions.add_area(household=household, description=form.description())
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"“{area.name}” is an area now.")
            return redirect("areas:list", household.pk)
    context = {"heading": "Add an area", "form": form, "save": "Add this area"}
    return _form_page(request, context)


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: MemberRequest, area_id: int) -> HttpResponse:
    household, area, now = request.household, _area(request, area_id), timezone.now()
    name = area.name
    data = request.POST if request.method == "POST" else None
    form = AreaForm(data, household=household, area=area)
    if form.is_bound and form.is_valid():
        try:
            with writing():
                changed = actions.change_area(area=area, description=form.description())
                if "owner" in changed:
                    owner_changed(area=area, now=now)
                if "name" in changed:
                    renamed(household=household, now=now)
        except HouseholdError as error:
            form.refuse(error)
        else:
            messages.success(request, f"“{area.name}” is changed.")
            return redirect("areas:list", household.pk)
    context = {"heading": name, "form": form, "save": "Keep the changes"}
    context |= {"archive_url": _url("archive", area), **place_urls(area)}
    context["mended_url"] = reverse("requests:area", args=[household.pk, area.pk])
    return _form_page(request, context)


def _form_page(request: MemberRequest, context: dict[str, Any]) -> HttpResponse:
    context["cancel_url"] = reverse("areas:list", args=[request.household.pk])
    return render_page(request, "areas/form.html", context)


@organiser_only
@require_POST
def place(request: MemberRequest, area_id: int, place: int) -> HttpResponse:
    """Move an area to a place in the order: the list's buttons name the place itself."""
    actions.place_area(area=_area(request, area_id), place=place)
    return redirect(f"{reverse('areas:list', args=[request.household.pk])}#area-{area_id}")


@organiser_only
@require_POST
def archive(request: MemberRequest, area_id: int) -> HttpResponse:
    area = own(Area.objects.select_related("household"), request.household, pk=area_id)
    try:
        with writing():
            _refuse_while_used(area)
            actions.archive_area(area=area, now=timezone.now())
    except HouseholdError as error:
        return render_error(request, error)
    say_with_way_back(
        request,
        f"“{area.name}” is put away.",
        url=_url("restore", area),
        button="Bring it back",
    )
    return redirect("areas:list", request.household.pk)


def _refuse_while_used(area: Area) -> None:
    count = chores_in(area)
    if count:
        raise Refused(
            format_html(
                'There {} still <a href="{}?area={}">{}</a> in “{}”. '
                "Move or put away what is there first.",
                "is" if count == 1 else "are",
                reverse("chores:list", args=[area.household_id]),
                area.pk,
                "1 chore" if count == 1 else f"{count} chores",
                area.name,
            )
        )


@organiser_only
@require_POST
def restore(request: MemberRequest, area_id: int) -> HttpResponse:
    area = own(Area.objects.select_related("household"), request.household, pk=area_id)
    try:
        actions.restore_area(area=area)
    except HouseholdError as error:
        return render_error(request, error)
    messages.success(request, f"“{area.name}” is back, at the end of the list.")
    return redirect("areas:list", request.household.pk)


@organiser_only
@require_POST
def set_spotlight(request: MemberRequest) -> HttpResponse:
    household, now = request.household, timezone.now()
    form = SpotlightForm(request.POST, household=household)
    if not form.is_valid():
        return _list_page(request, now, form)
    area = form.cleaned_data["area"]
    today = household.today(now)
    actions.set_spotlight(household=household, month=today, area=area)
    said = f"“{area.name}” is in the spotlight." if area else "No area is in the spotlight."
    messages.success(request, said)
    return redirect("areas:list", household.pk)


def _area(request: MemberRequest, area_id: int) -> Area:
    living = Area.objects.select_related("household", "owner").filter(archived_at=None)
    return own(living, request.household, pk=area_id)


def _url(name: str, area: Area) -> str:
    return reverse(f"areas:{name}", args=[area.household_id, area.pk])

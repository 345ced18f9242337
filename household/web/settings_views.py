"""The household's habits. They stand here since a new week or country moves tasks."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from household.chores.replanning import habits_changed
from household.kit.pages import render_page
from household.kit.writing import writing
from household.people.access import MemberRequest, organiser_only
from household.people.actions import change_household, renamed
from household.people.household_form import HouseholdForm, habits_of

# Habits by which calendars tell days and times.
TOLD = frozenset({"time_zone", "date_order"})


@organiser_only
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: MemberRequest) -> HttpResponse:
    household = request.household
    data = request.POST if request.method == "POST" else None
    form = HouseholdForm(data, habits=habits_of(household))
    if "usual" in request.POST:
        return _page(request, form.filled_with_usual(), filled=True)
    if form.is_bound and form.is_valid():
        with writing():
            changed = change_household(household=household, habits=form.habits())
            now = timezone.now()
            habits_changed(household=household, changed=changed, now=now)
            if changed & TOLD:
                renamed(household=household, now=now)
        messages.success(request, "The settings are kept.")
        return redirect("people:settings", household.pk)
    return _page(request, form)


def _page(request: MemberRequest, form: HouseholdForm, *, filled: bool = False) -> HttpResponse:
    """`filled`: the country's habits stand in the form and are not saved."""
    context = {
        "heading": "How does this household live?",
        "form": form,
        "save": "Keep these settings",
        "cancel_url": reverse("web:more", args=[request.household.pk]),
        "country": form.country_name,
        "filled": filled,
    }
    return render_page(request, "people/settings.html", context)

"""Switching households, who lives here, and one's own settings.

The pages that change members or the household stand in web: what they change, tasks follow.
"""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.kit.pages import render_page
from household.people import actions
from household.people.access import MemberRequest, members_only
from household.people.forms import ProfileForm
from household.people.listing import archived_rows, member_rows
from household.people.models import Account


@members_only
@require_POST
def switch(request: MemberRequest) -> HttpResponse:
    """Go to another household of one's own; it opens first from now on."""
    request.session["household"] = request.household.pk
    return redirect("web:today", request.household.pk)


@members_only
@require_GET
def members(request: MemberRequest) -> HttpResponse:
    household = request.household
    own = reverse("people:profile", args=[household.pk])
    urls, gone, add_url = {request.member.pk: own}, [], ""
    if request.member.organises:
        urls = {0: reverse("people:member", args=[household.pk, 0])}
        gone = archived_rows(household, reverse("people:restore", args=[household.pk, 0]))
        add_url = reverse("people:add", args=[household.pk])
    rows = member_rows(household, household.today(timezone.now()), urls)
    context = {"members": [*rows, *gone], "add_url": add_url}
    return render_page(request, "people/members.html", context)


@sensitive_post_parameters("password", "new_password")
@members_only
@require_http_methods(["GET", "HEAD", "POST"])
def profile(request: MemberRequest) -> HttpResponse:
    member, account = request.member, request.user
    assert isinstance(account, Account)
    form = ProfileForm(
        request.POST if request.method == "POST" else None, member=member, account=account
    )
    if form.is_bound and form.is_valid():
        values = form.cleaned_data
        actions.set_own(member=member, mirrored=values["mirrored"], theme=values["theme"])
        if values["new_password"]:
            actions.set_password(account=account, password=values["new_password"])
            # Every other device is signed out by the change; this one stays.
            update_session_auth_hash(request, account)
        messages.success(request, "Kept.")
        return redirect("web:more", request.household.pk)
    context = {
        "heading": "Your settings",
        "form": form,
        "save": "Keep these settings",
        "cancel_url": reverse("web:more", args=[request.household.pk]),
    }
    return render_page(request, "people/profile.html", context)

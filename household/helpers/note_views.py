"""House notes: read by everybody at home, written by organisers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from household.helpers import actions, queries
from household.helpers.forms import NoteForm
from household.helpers.models import HouseNote
from household.kit.pages import render_page
from household.kit.undo import say_with_way_back
from household.people.access import MemberRequest, members_only, organiser_only, own

FORM = ["GET", "HEAD", "POST"]


@members_only
@require_GET
def notes(request: MemberRequest) -> HttpResponse:
    household, changes = request.household, request.member.organises

    def url(name: str, note: HouseNote) -> str:
        return reverse(f"helpers:{name}", args=[household.pk, note.pk]) if changes else ""

    rows = queries.notes(household)
    away = queries.notes(household, archived=True) if changes else ()
    context = {
        "notes": [{"row": each, "url": url("note", each)} for each in rows],
        "archived": [{"row": each, "url": url("note_restore", each)} for each in away],
        "add_url": reverse("helpers:note_add", args=[household.pk]) if changes else "",
        "lists_url": reverse("helpers:lists", args=[household.pk]) if changes else "",
    }
    return render_page(request, "helpers/notes.html", context)


@organiser_only
@require_http_methods(FORM)
def note_add(request: MemberRequest) -> HttpResponse:
    form = NoteForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        note = actions.add_note(household=request.household, **form.cleaned_data)
        messages.success(request, f"“{note.title}” is kept.")
        return redirect("helpers:notes", request.household.pk)
    context = {
        "heading": "A house note",
        "form": form,
        "save": "Keep it",
        "cancel_url": reverse("helpers:notes", args=[request.household.pk]),
    }
    return render_page(request, "helpers/form.html", context)


@organiser_only
@require_http_methods(FORM)
def note(request: MemberRequest, note_id: int) -> HttpResponse:
    row = own(HouseNote.objects.filter(archived_at=None), request.household, pk=note_id)
    data = request.POST if request.method == "POST" else None
    form = NoteForm(data, initial={"title": row.title, "words": row.words})
    heading = row.title
    if form.is_bound and form.is_valid():
        actions.change_note(note=row, **form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("helpers:notes", request.household.pk)
    context = {
        "heading": heading,
        "form": form,
        "save": "Keep the changes",
        "cancel_url": reverse("helpers:notes", args=[request.household.pk]),
        "archive_url": reverse("helpers:note_archive", args=[request.household.pk, row.pk]),
    }
    return render_page(request, "helpers/form.html", context)


@organiser_only
@require_POST
def note_archive(request: MemberRequest, note_id: int) -> HttpResponse:
    row = own(HouseNote.objects.all(), request.household, pk=note_id)
    actions.archive_note(note=row, now=timezone.now())
    say_with_way_back(
        request,
        f"“{row.title}” is put away, and stands on no list any more.",
        url=reverse("helpers:note_restore", args=[request.household.pk, row.pk]),
        button="Bring it back",
    )
    return redirect("helpers:notes", request.household.pk)


@organiser_only
@require_POST
def note_restore(request: MemberRequest, note_id: int) -> HttpResponse:
    row = own(HouseNote.objects.all(), request.household, pk=note_id)
    actions.restore_note(note=row)
    messages.success(request, f"“{row.title}” is back.")
    return redirect("helpers:notes", request.household.pk)

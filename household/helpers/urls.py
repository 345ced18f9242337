"""Helpers from outside and house notes, inside a household."""

from django.urls import path

from household.helpers import note_views, views

app_name = "helpers"
urlpatterns = [
    path("", views.lists, name="lists"),
    path("new/", views.make, name="make"),
    path("<int:list_id>/", views.one, name="one"),
    path("<int:list_id>/change/", views.change, name="change"),
    path("<int:list_id>/tasks/", views.tasks, name="tasks"),
    path("<int:list_id>/address/", views.address, name="address"),
    path("<int:list_id>/stop/", views.stop, name="stop"),
    path("<int:list_id>/start/", views.start, name="start"),
    path("notes/", note_views.notes, name="notes"),
    path("notes/new/", note_views.note_add, name="note_add"),
    path("notes/<int:note_id>/", note_views.note, name="note"),
    path("notes/<int:note_id>/archive/", note_views.note_archive, name="note_archive"),
    path("notes/<int:note_id>/restore/", note_views.note_restore, name="note_restore"),
]

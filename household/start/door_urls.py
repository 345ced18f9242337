"""Addresses of the first run: outside any household, since there is none."""

from django.urls import path

from household.start import first

app_name = "first"
urlpatterns = [
    path("", first.page, name="page"),
    path("usual/", first.usual, name="usual"),
    path("look/", first.look, name="look"),
]

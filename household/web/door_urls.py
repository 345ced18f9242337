"""Addresses outside any household."""

from django.urls import path

from household.web import views

app_name = "door"
urlpatterns = [
    path("", views.home, name="home"),
    path("healthz", views.healthz, name="healthz"),
]

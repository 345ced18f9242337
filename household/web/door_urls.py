"""Addresses outside any household."""

from django.urls import path

from household.devices import door_views
from household.web import views

app_name = "door"
urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", door_views.sign_in, name="sign_in"),
    path("sign-out/", door_views.sign_out, name="sign_out"),
    path("in/", door_views.by_typing, name="by_typing"),
    path("in/<str:link>/", door_views.by_link, name="by_link"),
    path("healthz", views.healthz, name="healthz"),
]

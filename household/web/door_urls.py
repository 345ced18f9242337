"""Addresses outside any household."""

from django.urls import path

from household.people import views as people
from household.web import views

app_name = "door"
urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", people.sign_in, name="sign_in"),
    path("sign-out/", people.sign_out, name="sign_out"),
    path("healthz", views.healthz, name="healthz"),
]

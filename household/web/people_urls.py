"""Members and the household's settings. Pages whose changes tasks follow stand in web."""

from django.urls import path

from household.people import views
from household.web import member_views, settings_views

app_name = "people"
urlpatterns = [
    path("switch/", views.switch, name="switch"),
    path("profile/", views.profile, name="profile"),
    path("settings/", settings_views.settings, name="settings"),
    path("members/", views.members, name="members"),
    path("members/new/", member_views.add, name="add"),
    path("members/<int:member_id>/", member_views.change, name="member"),
    path("members/<int:member_id>/archive/", member_views.archive, name="archive"),
    path("members/<int:member_id>/restore/", member_views.restore, name="restore"),
    path("members/<int:member_id>/away/", member_views.add_absence, name="add_absence"),
    path(
        "members/<int:member_id>/away/<int:absence_id>/",
        member_views.change_absence,
        name="absence",
    ),
    path(
        "members/<int:member_id>/away/<int:absence_id>/remove/",
        member_views.remove_absence,
        name="remove_absence",
    ),
]

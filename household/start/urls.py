from django.urls import path

from household.start import views

app_name = "start"
urlpatterns = [
    path("members/", views.members, name="members"),
    path("areas/", views.areas, name="areas"),
    path("chores/", views.chores, name="chores"),
]

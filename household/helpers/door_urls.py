"""The secret addresses of helpers' lists, outside any household."""

from django.urls import path

from household.helpers import door_views

app_name = "helper_door"
urlpatterns = [
    path("<token:token>/", door_views.show, name="list"),
    path("<token:token>/<int:task_id>/tick/", door_views.tick, name="tick"),
    path("<token:token>/<int:task_id>/undo/", door_views.undo, name="undo"),
    path("<token:token>/<int:task_id>/say/", door_views.say, name="say"),
]

"""The secret addresses, outside any household. The whole address stays under 200 characters."""

from django.urls import path

from household.feeds import door_views

app_name = "feed_door"
urlpatterns = [
    path("<token:token>.ics", door_views.events, name="events"),
    path("<token:token>/tasks.ics", door_views.todos, name="todos"),
]

"""The secret addresses, outside any household. The whole address stays under 200 characters."""

from django.urls import path, register_converter

from household.feeds import door_views


class Token:
    """32 random bytes in the alphabet of addresses."""

    regex = "[A-Za-z0-9_-]{43}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(Token, "token")

app_name = "feed_door"
urlpatterns = [
    path("<token:token>.ics", door_views.events, name="events"),
    path("<token:token>/tasks.ics", door_views.todos, name="todos"),
]

"""Addresses: what belongs to a household stands under /h/<its number>/."""

from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path, register_converter

from household.kit.secret_address import Token
from household.week.converters import IsoDate

register_converter(IsoDate, "isodate")
register_converter(Token, "token")

home = [
    path("", include("household.web.urls")),
    path("", include("household.web.people_urls")),
    path("devices/", include("household.devices.urls")),
    path("", include("household.requests.urls")),
    path("occasions/", include("household.occasions.urls")),
    path("helpers/", include("household.helpers.urls")),
    path("areas/", include("household.web.area_urls")),
    path("chores/", include("household.chores.urls")),
    path("breathers/", include("household.web.breather_urls")),
    path("overview/", include("household.overview.urls")),
    path("calendars/", include("household.feeds.urls")),
    path("week/", include("household.week.urls")),
    path("start/", include("household.start.urls")),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("household.web.door_urls")),
    path("start/", include("household.start.door_urls")),
    path("f/", include("household.feeds.door_urls")),
    path("help/", include("household.helpers.door_urls")),
    path("h/<int:household_id>/", include(home)),
]

if settings.ADMIN:
    from django.contrib import admin

    urlpatterns.append(path("admin/", admin.site.urls))

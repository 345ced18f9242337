"""Calendars, inside a household."""

from django.urls import path

from household.feeds import list_views, taking_views, views

app_name = "feeds"
urlpatterns = [
    path("", views.calendars, name="calendars"),
    path("how-to/", views.how_to, name="how"),
    path("new/", views.make, name="make"),
    path("<int:feed_id>/renew/", views.renew, name="renew"),
    path("<int:feed_id>/stop/", views.stop, name="stop"),
    path("<int:feed_id>/start/", views.start, name="start"),
    path("follow/", taking_views.subscribe, name="subscribe"),
    path("occasions/", list_views.occasion_list, name="occasion_list"),
    path("import/", taking_views.import_file, name="import"),
    path("in/<int:subscription_id>/", taking_views.subscription, name="subscription"),
    path("in/<int:subscription_id>/look/", taking_views.look, name="look"),
    path("in/<int:subscription_id>/out/", taking_views.take_out, name="take_out"),
    path("in/<int:subscription_id>/back/", taking_views.take_back, name="take_back"),
]

"""Areas. In web, since their pages show and move what chores know."""

from django.urls import path

from household.web import area_views

app_name = "areas"
urlpatterns = [
    path("", area_views.area_list, name="list"),
    path("new/", area_views.add, name="add"),
    path("spotlight/", area_views.set_spotlight, name="spotlight"),
    path("<int:area_id>/", area_views.change, name="area"),
    path("<int:area_id>/place/<int:place>/", area_views.place, name="place"),
    path("<int:area_id>/archive/", area_views.archive, name="archive"),
    path("<int:area_id>/restore/", area_views.restore, name="restore"),
]

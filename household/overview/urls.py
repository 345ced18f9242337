from django.urls import path

from household.overview import settle_views, views

app_name = "overview"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("history/", views.history, name="history"),
    path("keepers/", views.keepers, name="keepers"),
    path("keepers/hand/", views.hand, name="hand"),
    path("settle/", settle_views.settle, name="settle"),
    path("tasks/<int:task_id>/move/", settle_views.move, name="move"),
    path("tasks/<int:task_id>/lighter/", settle_views.lighter, name="lighter"),
    path("tasks/<int:task_id>/drop/", settle_views.drop, name="drop"),
    path("take-back/", settle_views.take_back, name="take_back"),
]

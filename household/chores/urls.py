from django.urls import path

from household.chores import minutes_views, views

app_name = "chores"
urlpatterns = [
    path("", views.chore_list, name="list"),
    path("new/", views.add, name="add"),
    path("minutes/", minutes_views.minutes, name="minutes"),
    path("minutes/take/", minutes_views.take, name="take_minutes"),
    path("minutes/back/", minutes_views.give_back, name="give_minutes_back"),
    path("preview/", views.rhythm_preview, name="preview"),
    path("<int:chore_id>/", views.chore, name="chore"),
    path("<int:chore_id>/change/", views.change, name="change"),
    path("<int:chore_id>/archive/", views.archive, name="archive"),
    path("<int:chore_id>/restore/", views.restore, name="restore"),
    path("<int:chore_id>/copy/", views.copy, name="copy"),
]

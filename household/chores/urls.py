from django.urls import path

from household.chores import views

app_name = "chores"
urlpatterns = [
    path("", views.chore_list, name="list"),
    path("new/", views.add, name="add"),
    path("preview/", views.rhythm_preview, name="preview"),
    path("<int:chore_id>/", views.chore, name="chore"),
    path("<int:chore_id>/change/", views.change, name="change"),
    path("<int:chore_id>/archive/", views.archive, name="archive"),
    path("<int:chore_id>/restore/", views.restore, name="restore"),
    path("<int:chore_id>/copy/", views.copy, name="copy"),
]

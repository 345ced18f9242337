from django.urls import path

from household.web import task_views, views

app_name = "web"
urlpatterns = [
    path("today/", views.today, name="today"),
    path("today/<int:member_id>/", views.today, name="today_of"),
    path("more/", views.more, name="more"),
    path("glossary/", views.glossary, name="glossary"),
    path("tasks/add/", task_views.add, name="add"),
    path("tasks/<int:task_id>/", task_views.task, name="task"),
    path("tasks/<int:task_id>/tick/", task_views.tick, name="tick"),
    path("tasks/<int:task_id>/undo/", task_views.undo, name="undo"),
    path("tasks/<int:task_id>/take/", task_views.take, name="take"),
    path("tasks/<int:task_id>/skip/", task_views.skip, name="skip"),
    path("tasks/<int:task_id>/longer/", task_views.longer, name="longer"),
    path("tasks/<int:task_id>/shorter/", task_views.shorter, name="shorter"),
    path("tasks/<int:task_id>/measure/", task_views.measure, name="measure"),
    path("tasks/<int:task_id>/hand/", task_views.hand, name="hand"),
    path("tasks/<int:task_id>/move/", task_views.move, name="move"),
]

from django.urls import path

from household.web import board_views, hand_views, search_views, swap_views, task_views, views

app_name = "web"
urlpatterns = [
    path("today/", views.today, name="today"),
    path("today/<int:member_id>/", views.today, name="today_of"),
    path("board/", board_views.board, name="board"),
    path("board/week/", board_views.week, name="board_week"),
    path("board/tasks/<int:task_id>/", board_views.who, name="board_task"),
    path("board/tasks/<int:task_id>/tick/", board_views.tick, name="board_tick"),
    path("board/tasks/<int:task_id>/undo/", board_views.undo, name="board_undo"),
    path("board/tasks/<int:task_id>/take/", board_views.take, name="board_take"),
    path("hand/", hand_views.work, name="hand_work"),
    path("hand/back/", hand_views.back, name="hand_back"),
    path("swaps/", swap_views.offer, name="swap_offer"),
    path("swaps/<int:swap_id>/agree/", swap_views.agree, name="swap_agree"),
    path("swaps/<int:swap_id>/decline/", swap_views.decline, name="swap_decline"),
    path("swaps/<int:swap_id>/withdraw/", swap_views.withdraw, name="swap_withdraw"),
    path("more/", views.more, name="more"),
    path("search/", search_views.search, name="search"),
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

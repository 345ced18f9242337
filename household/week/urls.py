from django.urls import path

from household.week import fit_views, month_views, views

app_name = "week"
urlpatterns = [
    path("", views.this_week, name="this"),
    path("<isodate:first>/", views.week, name="week"),
    path("<isodate:first>/share/", views.share, name="week_share"),
    path("<isodate:first>/proof/", views.proof, name="week_proof"),
    path("<isodate:first>/settle/", views.settle, name="week_settle"),
    path("<isodate:first>/undo/", views.undo, name="week_undo"),
    path("<isodate:first>/notes/", views.notes, name="week_notes"),
    path("<isodate:first>/tasks/<int:task_id>/put/", views.put, name="put"),
    path("<isodate:first>/tasks/<int:task_id>/release/", views.release, name="release"),
    path("<isodate:first>/tasks/<int:task_id>/why/", views.why, name="why"),
    path("<isodate:first>/fit/", fit_views.fit, name="week_fit"),
    path("<isodate:first>/lighten/", fit_views.lighten, name="week_lighten"),
    path("<isodate:first>/have-back/", fit_views.back, name="week_have_back"),
    path("month/<int:year>/<int:month>/", month_views.month, name="month"),
    path("month/<int:year>/<int:month>/notes/", month_views.notes, name="month_notes"),
    path("year/<int:year>/", month_views.year, name="year"),
    path("ahead/", month_views.ahead, name="ahead"),
]

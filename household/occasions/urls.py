from django.urls import path

from household.occasions import gift_views, set_views, views

app_name = "occasions"
urlpatterns = [
    path("", views.occasion_list, name="list"),
    path("new/", views.add, name="add"),
    path("<int:occasion_id>/", views.one, name="occasion"),
    path("<int:occasion_id>/change/", views.change, name="change"),
    path("<int:occasion_id>/archive/", views.archive, name="archive"),
    path("<int:occasion_id>/restore/", views.restore, name="restore"),
    path("<int:occasion_id>/own-jobs/", views.own_jobs, name="own_jobs"),
    path("<int:occasion_id>/usual-jobs/", views.usual_jobs, name="usual_jobs"),
    path("<int:occasion_id>/jobs/new/", set_views.own_job_add, name="own_job_add"),
    path("sets/", set_views.sets, name="sets"),
    path("sets/<str:kind>/new/", set_views.job_add, name="job_add"),
    path("jobs/<int:job_id>/", set_views.job, name="job"),
    path("jobs/<int:job_id>/archive/", set_views.job_archive, name="job_archive"),
    path("jobs/<int:job_id>/restore/", set_views.job_restore, name="job_restore"),
    path("gifts/", gift_views.gifts, name="gifts"),
    path("gifts/new/", gift_views.gift_add, name="gift_add"),
    path("gifts/<int:gift_id>/", gift_views.gift, name="gift"),
    path("gifts/<int:gift_id>/give/", gift_views.give, name="give"),
    path("gifts/<int:gift_id>/archive/", gift_views.gift_archive, name="gift_archive"),
    path("gifts/<int:gift_id>/restore/", gift_views.gift_restore, name="gift_restore"),
]

"""What does us good. In web, since an idea that is added finds its day at once."""

from django.urls import path

from household.web import breather_views, offer_views

app_name = "breathers"
urlpatterns = [
    path("", breather_views.ideas, name="list"),
    path("new/", breather_views.add, name="add"),
    path("starter/", breather_views.starter, name="starter"),
    path("<int:breather_id>/", breather_views.change, name="idea"),
    path("<int:breather_id>/archive/", breather_views.archive, name="archive"),
    path("<int:breather_id>/restore/", breather_views.restore, name="restore"),
    path("offers/<int:offer_id>/", offer_views.offer, name="offer"),
    path("offers/<int:offer_id>/another/", offer_views.another, name="another"),
    path("offers/<int:offer_id>/day/", offer_views.day, name="day"),
    path("offers/<int:offer_id>/leave/", offer_views.leave, name="leave"),
    path("offers/<int:offer_id>/back/", offer_views.back, name="back"),
]

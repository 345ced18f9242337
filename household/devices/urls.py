from django.urls import path

from household.devices import views

app_name = "devices"
urlpatterns = [
    path("", views.device_list, name="list"),
    path("code/<int:member_id>/", views.member_code, name="member_code"),
    path("screen/", views.screen_code, name="screen"),
    path("codes/<int:code_id>/", views.code_state, name="code_state"),
    path("<int:device_id>/", views.rename, name="rename"),
    path("<int:device_id>/off/", views.switch_off, name="switch_off"),
    path("notices/<int:notice_id>/seen/", views.see_notice, name="see_notice"),
]

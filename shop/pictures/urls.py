"""The addresses of photos: at the bench, and on the bench phone."""

from django.urls import URLPattern, path

from shop.pictures import phone_views, views

urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/pictures/", views.all_photos, name="pictures"),
    path("sheet/<code:code>/photo/<int:photo_id>/", views.one, name="picture"),
    path("sheet/<code:code>/photo/<int:photo_id>/mark/", views.mark, name="mark_photo"),
    path("sheet/<code:code>/photo/<int:photo_id>/mark/<int:mark_id>/off/", views.mark_off, name="mark_off"),
    path(
        "sheet/<code:code>/photo/<int:photo_id>/mark/<int:mark_id>/back/", views.mark_back, name="mark_back"
    ),
    path("sheet/<code:code>/photo/<int:photo_id>/words/", views.describe, name="describe_photo"),
    path("sheet/<code:code>/photo/<int:photo_id>/customer/", views.for_customer, name="photo_for_customer"),
    path("sheet/<code:code>/phone/", phone_views.open_code, name="phone_open"),
    path("sheet/<code:code>/phone/<int:pk>/", phone_views.code_page, name="phone_code"),
    path("sheet/<code:code>/phone/<int:pk>/arrived/", phone_views.arrived, name="phone_arrived"),
    path("sheet/<code:code>/phone/<int:pk>/end/", phone_views.end_code, name="phone_end"),
    path("phone/", phone_views.page, name="phone"),
    path("phone/send/", phone_views.send, name="phone_send"),
    path("phone/done/", phone_views.done, name="phone_done"),
    path("phone/<str:token>/", phone_views.come_in, name="phone_in"),
]

"""The addresses of the day sheet and of the count of the bags."""

from django.urls import URLPattern, URLResolver, path

from shop.daysheet import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("bench/", views.day, name="day_sheet"),
    path("bench/bags/", views.count, name="bags"),
    path("bench/bags/scan/", views.scan, name="scan_bag"),
    path("bench/bags/off/", views.take_off, name="take_off_bag"),
    path("bench/bags/sign/", views.sign, name="sign_bags"),
]

"""The addresses of good boards and meters."""

from django.urls import URLPattern, URLResolver, path

from shop.knowledge import meter_views, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("bench/good-boards/", views.boards, name="good_boards"),
    path("bench/good-boards/take/", views.take, name="take_good"),
    path("bench/good-boards/<int:pk>/strike/", views.strike, name="strike_good"),
    path("bench/meters/", meter_views.meters, name="meters"),
    path("bench/meters/<int:pk>/", meter_views.meter, name="meter"),
    path("bench/meters/<int:pk>/switch/", meter_views.switch, name="switch_meter"),
]

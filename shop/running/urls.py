"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.running import alive, house_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("live/", alive.live, name="live"),
    path("ready/", alive.ready, name="ready"),
    path("house/", house_views.house, name="house"),
]

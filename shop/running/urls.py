"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.running import alive, house_views, metrics_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("live/", alive.live, name="live"),
    path("ready/", alive.ready, name="ready"),
    path("metrics", metrics_views.figures, name="metrics"),
    path("house/", house_views.house, name="house"),
]

"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.seen import views

urlpatterns: list[URLPattern | URLResolver] = [path("bench/seen/", views.seen_before, name="seen_before")]

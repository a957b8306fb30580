"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.hours_views import hours

urlpatterns: list[URLPattern | URLResolver] = [
    path("settings/hours/", hours, name="hours"),
]

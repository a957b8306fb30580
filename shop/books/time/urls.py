"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.hours_views import hours
from shop.books.time.views import time

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/time/", time, name="books_time"),
    path("settings/hours/", hours, name="hours"),
]

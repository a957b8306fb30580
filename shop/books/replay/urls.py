"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.replay import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/replay/", views.replay, name="books_replay"),
    path("books/replay/orders.<slug:kind>", views.replay_file, name="books_replay_file"),
]

"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.promises import views

urlpatterns: list[URLPattern | URLResolver] = [path("books/promises/", views.promises, name="books_promises")]

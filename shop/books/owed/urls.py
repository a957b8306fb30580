"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.owed import views

urlpatterns: list[URLPattern | URLResolver] = [path("books/owed/", views.owed, name="books_owed")]

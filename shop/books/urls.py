"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/", views.books, name="books"),
    path("books/margin/", views.margin, name="books_margin"),
    path("books/orders/", views.orders, name="books_orders"),
    path("books/margin.csv", views.margin_csv, name="books_margin_csv"),
]

"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books.margin import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/margin/", views.margin, name="books_margin"),
    path("books/margin/<code:code>/", views.one, name="books_margin_order"),
    path("books/margin/<code:code>/cost/", views.cost, name="books_margin_cost"),
]

"""The addresses of the stockroom."""

from django.urls import URLPattern, URLResolver, path

from shop.stockroom import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("stock/", views.ledger, name="stock"),
    path("stock/new/", views.new_part, name="new_part"),
    path("stock/<int:pk>/", views.part, name="part"),
    path("stock/<int:pk>/receive/", views.receive, name="receive_part"),
    path("stock/<int:pk>/count/", views.count, name="count_part"),
    path("stock/<int:pk>/describe/", views.describe, name="describe_part"),
]

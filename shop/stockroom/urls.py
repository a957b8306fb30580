"""The addresses of the stockroom."""

from django.urls import URLPattern, URLResolver, path

from shop.stockroom import lot_views, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("stock/", views.ledger, name="stock"),
    path("stock/new/", views.new_part, name="new_part"),
    path("stock/lots/", lot_views.all_lots, name="lots"),
    path("stock/lots/<int:pk>/", lot_views.lot, name="lot"),
    path("stock/lots/<int:pk>/label/", lot_views.label, name="lot_label"),
    path("stock/lots/<int:pk>/stop/", lot_views.stop, name="stop_lot"),
    path("stock/lots/<int:pk>/open/", lot_views.open_again, name="open_lot"),
    path("stock/<int:pk>/", views.part, name="part"),
    path("stock/<int:pk>/receive/", views.receive, name="receive_part"),
    path("stock/<int:pk>/count/", views.count, name="count_part"),
    path("stock/<int:pk>/describe/", views.describe, name="describe_part"),
]

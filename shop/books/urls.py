"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.books import file_views, key_views, order_views, reading_views
from shop.books.margin.urls import urlpatterns as margin
from shop.books.months.urls import urlpatterns as months
from shop.books.owed.urls import urlpatterns as owed
from shop.books.promises.urls import urlpatterns as promises
from shop.books.replay.urls import urlpatterns as replay
from shop.books.time.urls import urlpatterns as time
from shop.books.week.urls import urlpatterns as week

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/orders/", order_views.orders, name="books_orders"),
    path("books/figures.json", reading_views.figures, name="figures_json"),
    path("books/tables/", file_views.tables, name="books_tables"),
    path("books/tables/<slug:key>.json", reading_views.table, name="table_json"),
    path("books/tables/<slug:key>.<slug:kind>", file_views.table_file, name="books_file"),
    path("settings/reading-keys/", key_views.reading_keys_page, name="reading_keys"),
    path("settings/reading-keys/<int:pk>/end/", key_views.end_reading_key, name="end_reading_key"),
    *time, *margin, *promises, *owed, *replay, *months, *week,
]  # fmt: skip

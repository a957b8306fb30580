"""The address of the card of sums."""

from django.urls import URLPattern, URLResolver, path

from shop.bench_card import views

urlpatterns: list[URLPattern | URLResolver] = [path("bench/wire/", views.wire, name="wire")]

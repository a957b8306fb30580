"""The addresses of goods out."""

from django.urls import URLPattern, URLResolver, path

from shop.returns import views

urlpatterns: list[URLPattern | URLResolver] = [path("out/", views.goods_out, name="goods_out")]

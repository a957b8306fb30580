"""Addresses of the vault."""

from django.urls import URLPattern, URLResolver, path

from shop.vault import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("sheet/<code:code>/unlock-code/", views.give, name="give_code"),
    path("sheet/<code:code>/unlock-code/show/", views.show, name="show_code"),
    path("sheet/<code:code>/unlock-code/erase/", views.erase, name="erase_code"),
    path("your/<code:code>/unlock-code/", views.give_by_customer, name="own_code"),
    path("your/<code:code>/unlock-code/erase/", views.erase_by_customer, name="erase_own_code"),
]

"""The addresses of the traveller and receiving."""

from django.urls import URLPattern, URLResolver, path

from shop.traveller import acts, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("receiving/", views.receiving, name="receiving"),
    path("find/", views.find, name="find"),
    path("sheet/<code:code>/", views.sheet, name="sheet"),
    *acts.urlpatterns,
]

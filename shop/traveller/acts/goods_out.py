"""Posts at 80: paid, packed, posted."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

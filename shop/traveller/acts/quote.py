"""Posts at 40: what it costs."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

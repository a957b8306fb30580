"""Posts at 30: measure, find, say what it needs."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

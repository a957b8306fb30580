"""Posts at The end of the sheet."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

"""Posts at 60: the mending."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

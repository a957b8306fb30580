"""Posts at 70: the proof."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

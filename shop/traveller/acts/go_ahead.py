"""Posts at 50: the customer's answer."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

"""Posts at 20: the parcel is opened."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

"""Posts at The parcel is with the post."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

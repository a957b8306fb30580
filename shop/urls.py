"""Every address of the house; each floor and room brings its own list."""

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []

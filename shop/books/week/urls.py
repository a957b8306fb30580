"""The address of the weekly page."""

from django.urls import path

from shop.books.week import views

urlpatterns = [path("books/", views.week, name="books")]

"""The addresses of the monthly reports."""

from django.urls import path

from shop.books.months import views

urlpatterns = [
    path("books/months/", views.months, name="books_months"),
    path("books/months/now.pdf", views.running_month, name="books_running_month"),
    path("books/months/<str:month>.pdf", views.month, name="books_month"),
]

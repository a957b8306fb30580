"""The addresses of this room; each answers 404 outside the demonstration."""

from django.urls import URLPattern, URLResolver, path

from shop.demo import pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("demo/", pages.demo, name="demo"),
    path("demo/bank/<str:name>", pages.bank_file, name="demo_bank"),
    path("demo/letters/", pages.letters, name="demo_letters"),
    path("demo/letters/<int:pk>/", pages.letter, name="demo_letter"),
    path("demo/letters/<int:pk>/html/", pages.html, name="demo_letter_html"),
    path("demo/letters/<int:pk>/paper/<int:paper_id>/", pages.paper, name="demo_letter_paper"),
    path("demo/letters/<int:pk>/photo/<int:photo_id>/", pages.photo, name="demo_letter_photo"),
]

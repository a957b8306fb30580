"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from shop.backup import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("house/backups/", views.backups, name="backups"),
    path("house/backups/make/", views.make, name="make_backup"),
    path("house/backups/prove/", views.prove, name="prove_backup"),
    path("house/backups/keys/", views.apart, name="backup_keys"),
]

"""The top floor: the bench, the post out, the books, and the wiring."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    verbose_name = "Shop"
    default_auto_field = "django.db.models.BigAutoField"

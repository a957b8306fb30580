"""The ground floor: who sent what, and where is it now."""

from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "intake"
    verbose_name = "Intake"
    default_auto_field = "django.db.models.BigAutoField"

"""The ground floor: who sent what, and where is it now."""

from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "intake"
    verbose_name = "Intake"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from intake import makers  # noqa: PLC0415 -- models are there only once the apps are ready

        makers.register_all()

"""The first floor: what is wrong, what it costs, whether they agree."""

from django.apps import AppConfig


class QuotesConfig(AppConfig):
    name = "quotes"
    verbose_name = "Quotes"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from quotes import makers, statement_maker  # noqa: PLC0415 -- models are there only once the apps are ready

        makers.register_all()
        statement_maker.register_all()

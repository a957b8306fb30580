"""The first floor: what is wrong, what it costs, whether they agree."""

from django.apps import AppConfig


class QuotesConfig(AppConfig):
    name = "quotes"
    verbose_name = "Quotes"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from intake import append_only  # noqa: PLC0415 -- as below
        from quotes import erasable, makers, statement_maker  # noqa: PLC0415 -- models are there only once the apps are ready

        append_only.let_blank(erasable.TABLES)
        makers.register_all()
        statement_maker.register_all()

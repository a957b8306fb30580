"""The top floor: the bench, the post out, the books, and the wiring."""

import importlib

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    verbose_name = "Shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from intake import append_only, history, photo_files  # noqa: PLC0415 -- as below
        from shop import erasable, makers  # noqa: PLC0415 -- models are there only once the apps are ready
        from shop.banking import pretending  # noqa: PLC0415 -- as above
        from shop.books import keep  # noqa: PLC0415 -- as above
        from shop.pictures import marked  # noqa: PLC0415 -- as above

        importlib.import_module("shop.setup.folders")  # what it registers is looked at by each check
        append_only.let_blank(erasable.TABLES)
        makers.register_all()
        history.follow(keep.keep)
        photo_files.register(marked.bytes_of)
        pretending.register_offline()

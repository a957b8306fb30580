"""Sends what waits, once: for a timer of the system, or by hand when nothing else runs."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from intake import drain
from shop.setup.database import HalfRestored, refuse_half_restored


class Command(BaseCommand):
    help = "Send the letters that are due, once, and say how many went."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--limit", type=int, default=100, help="how many at most")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            refuse_half_restored()
        except HalfRestored as sentence:
            raise CommandError(str(sentence)) from sentence
        sent = drain.drain(limit=options["limit"])
        self.stdout.write(f"{sent} letters handled.")

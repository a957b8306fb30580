"""Makes whole orders in bulk, to measure with and to try big books on."""

import datetime as dt
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from intake.models import Letterhead, Order
from shop.bulk.make import make_orders

INVENTED = "Quillmere Bench"


class Command(BaseCommand):
    help = "Make whole orders of the invented shop, thousands a second; only in an empty database, or in that shop."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--orders", type=int, default=100_000)
        parser.add_argument("--seed", type=int, default=7)
        parser.add_argument("--years", type=int, default=10)
        parser.add_argument(
            "--as-of", default="", help="the moment the last orders stand at; now if left out"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["orders"] < 1 or not 1 <= options["years"] <= 40:
            raise CommandError("At least one order, over 1 to 40 years.")
        if Letterhead.objects.exists() and Letterhead.current().name != INVENTED:
            raise CommandError("This is a real shop: no invented order goes in among its own.")
        if Order.objects.exists():
            raise CommandError("There are orders here already. Take an empty database for them.")
        began = time.monotonic()
        make_orders(
            orders=options["orders"], seed=options["seed"], years=options["years"], at=self._moment(options["as_of"]),
            say=self._say,
        )  # fmt: skip
        self.stdout.write(f"{options['orders']} orders in {time.monotonic() - began:.0f} s.")

    def _moment(self, text: str) -> dt.datetime:
        if not text:
            return timezone.now()
        try:
            moment = dt.datetime.fromisoformat(text)
        except ValueError as fault:
            raise CommandError("--as-of wants a moment such as 2026-02-27T18:00+00:00.") from fault
        if moment.tzinfo is None:
            raise CommandError("--as-of wants a zone, such as 2026-02-27T18:00+00:00.")
        return moment.astimezone(dt.UTC)

    def _say(self, sentence: str) -> None:
        self.stdout.write(sentence)

"""Make the demonstration's world: an invented shop with its orders, all walked through the real actions."""

import datetime as dt
from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from intake.models import Letterhead, Order
from intake.tokens import address_of, give_link
from shop.demo import bank, world
from shop.demo.base import PASSWORDS

# Whose quotes wait for an answer, and what is to be seen on them.
CUSTOMERS = {"Yusra Kell": "a quote to answer", "Orla Finchett": "three ways to choose from"}


class Command(BaseCommand):
    help = "Make the invented shop of the demonstration (only with BENCHPOST_DEMO=on)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--if-empty", action="store_true", help="Do nothing when a shop is there already."
        )
        parser.add_argument("--as-of", help="The moment to build for, ISO 8601 with zone; now if left out.")

    def handle(self, *args: str, **options: object) -> None:
        at = self._moment(options["as_of"])
        if not Letterhead.objects.exists():
            with transaction.atomic():
                world.build(as_of=at)
            bank.write(at=at)
        elif not options["if_empty"]:
            raise CommandError("There is a shop here already. `make demo-reset` clears the demonstration.")
        self._say(at)

    def _moment(self, text: object) -> dt.datetime:
        if not text:
            return dt.datetime.now(dt.UTC)
        try:
            moment = dt.datetime.fromisoformat(str(text))
        except ValueError as fault:
            raise CommandError("--as-of wants a moment such as 2026-02-27T18:00+00:00.") from fault
        if moment.tzinfo is None:
            raise CommandError("--as-of wants a zone, such as 2026-02-27T18:00+00:00.")
        return moment.astimezone(dt.UTC)

    def _say(self, at: dt.datetime) -> None:
        self.stdout.write(f"  Owner       ansel   {PASSWORDS['ansel']}")
        self.stdout.write(f"  Technician  pim     {PASSWORDS['pim']}")
        for name, words in CUSTOMERS.items():
            waiting = Order.objects.filter(customer__name=name).first()
            if waiting is not None:
                self.stdout.write(f"  A customer's link ({words})  {address_of(give_link(waiting, at=at))}")

"""Ask what a new shop must know of itself, and open it."""

import datetime as dt
from argparse import ArgumentParser
from getpass import getpass

from django.core.management.base import BaseCommand, CommandError

from intake.refusals import Refused
from shop.opening import NewShop, open_shop
from shop.setup.database import Newer, bring_up_to_date, missing_migrations

QUESTIONS = [
    ("name", "Name of the shop", ""),
    ("email", "E-mail that customers write to", ""),
    ("phone", "Telephone (may stay empty)", ""),
    ("street", "Street and number", ""),
    ("city", "Town", ""),
    ("area", "State or county (may stay empty)", ""),
    ("postcode", "Postcode (may stay empty)", ""),
    ("country", "Country, two letters", "GB"),
    ("currency", "Currency, three letters", "GBP"),
    ("zone", "Time zone", "Europe/London"),
    ("locale", "How money and dates are written", "en_GB"),
    ("full_name", "Your full name", ""),
    ("username", "The name you sign in with", ""),
]


class Command(BaseCommand):
    help = "Open a new shop: asks for its name, address, currency, zone and the owner's sign-in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        for field, question, _ in QUESTIONS:
            parser.add_argument(f"--{field.replace('_', '-')}", help=question)
        parser.add_argument("--password", help="Asked for when left out; at least twelve characters.")

    def handle(self, *args: str, **options: object) -> None:
        self._ready_the_database()
        given = {field: self._ask(options.get(field), text, usual) for field, text, usual in QUESTIONS}
        password = str(options.get("password") or getpass("A password, twelve characters or more: "))
        shop = NewShop(
            **{**given, "country": given["country"].upper(), "currency": given["currency"].upper()},
            password=password,
        )
        try:
            owner = open_shop(shop=shop, at=dt.datetime.now(dt.UTC))
        except Refused as refusal:
            where = f"{refusal.field}: " if refusal.field else ""
            raise CommandError(f"{where}{refusal.sentence}") from refusal
        self.stdout.write(
            f"{shop.name} is open. Sign in as {owner.username}; `make serve` starts the house if it does not run yet."
        )

    def _ready_the_database(self) -> None:
        """A new person may open the shop before anything ran here."""
        if not missing_migrations():
            return
        try:
            bring_up_to_date(dt.datetime.now(dt.UTC), say=self.stdout.write)
        except Newer as sentence:
            raise CommandError(str(sentence)) from sentence

    def _ask(self, given: object, question: str, usual: str) -> str:
        if given is not None:
            return str(given)
        hint = f" [{usual}]" if usual else ""
        return input(f"{question}{hint}: ").strip() or usual

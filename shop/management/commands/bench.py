"""Measures the pages and papers against their floors, in a shop of its own that is thrown away afterwards."""

import datetime as dt
import os
import subprocess
import sys
import tempfile
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.test.utils import override_settings
from django.utils import timezone

from intake.models import Person

if TYPE_CHECKING:
    from shop.measuring import ratios

SAYS = (
    "Staff pages read the session and the person first (two of their queries), the window its session; "
    "the floor reads neither.\n"
    "Floor and page take turns in the same process; a ratio above its goal is a wish, not a failure. "
    "What else the machine does just now shows in the milliseconds, less in the ratios."
)


HANDED_ON = ("orders", "rounds", "times", "book_orders", "books_of")


class Command(BaseCommand):
    help = "Measure pages and papers as a ratio to the least that could do their work, in a scratch shop."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--orders", type=int, default=60, help="how many orders the scratch shop has")
        parser.add_argument("--rounds", type=int, default=7, help="rounds in turn, at least 5")
        parser.add_argument("--times", type=int, default=10, help="how often a round does each")
        parser.add_argument(
            "--book-orders", type=int, default=20_000, help="orders made in bulk for the books; 0: none"
        )
        parser.add_argument(
            "--books-of", default="", help="measure the books alone, of a shop made before in this folder"
        )
        parser.add_argument("--scratch", default="", help="used by the command itself")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["rounds"] < 5 or options["times"] < 1 or options["orders"] < 1:
            raise CommandError("At least 5 rounds, once each, over at least one order.")
        if options["books_of"] and not options["scratch"]:
            self._again(options["books_of"], options)
        elif not options["scratch"]:
            with tempfile.TemporaryDirectory(prefix="bench-") as folder:
                self._again(folder, options)
        elif options["scratch"] != str(settings.DATA):
            raise CommandError("--scratch is only for the command itself.")
        else:
            self._measure(options)

    def _again(self, folder: str, options: dict[str, Any]) -> None:
        """Once more, in a process whose database and files lie in a folder: one that is removed afterwards, or that was made
        before."""
        words = [f"--{name.replace('_', '-')}={options[name]}" for name in HANDED_ON]
        apart = {
            "BENCHPOST_DATA": folder,
            "MEDIA_ROOT": "",
            "DATABASE_URL": "",
            "REDIS_URL": "",
            "EMAIL_URL": "memory",
            "SITE_ADDRESS": "http://localhost:8000",
            "DEBUG": "off",
        }
        done = subprocess.run(  # noqa: S603 -- our own command under our own interpreter, no shell
            [sys.executable, "manage.py", "bench", f"--scratch={folder}", *words],
            cwd=settings.ROOT,
            env={**os.environ, **apart},
            check=False,
        )
        if done.returncode:
            raise CommandError("The measuring ended early; the lines above say why.")

    def _measure(self, options: dict[str, Any]) -> None:
        from shop.measuring import floors, ratios, rows, world  # noqa: PLC0415 -- heavy, and only here

        at = timezone.now()
        call_command("migrate", interactive=False, verbosity=0)
        call_command("createcachetable", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        found: list[ratios.Result] = []
        with override_settings(ROOT_URLCONF=floors.__name__):
            if not options["books_of"]:
                self.stdout.write(f"Making {options['orders']} orders with the real actions.")
                shop = world.build(count=options["orders"], at=at)
                found = self._timed(rows.all_rows(shop, at=at), options)
            found += self._timed(self._books(options, at), options)
        self.stdout.write("\n".join([*ratios.table(found), SAYS]))

    def _timed(self, asked: "list[ratios.Row]", options: dict[str, Any]) -> "list[ratios.Result]":
        from shop.measuring import ratios  # noqa: PLC0415 -- as above

        return [ratios.measure(row, rounds=options["rounds"], times=options["times"]) for row in asked]

    def _books(self, options: dict[str, Any], at: dt.datetime) -> "list[ratios.Row]":
        """Over the orders of a shop made before, or over some made now in bulk."""
        from shop.bulk.make import make_orders  # noqa: PLC0415 -- as above
        from shop.measuring.books_rows import books_rows  # noqa: PLC0415 -- as above

        if not options["books_of"]:
            if not options["book_orders"]:
                return []
            self.stdout.write(f"Making {options['book_orders']} more in bulk.")
            make_orders(orders=options["book_orders"], seed=7, years=10, at=at)
        return books_rows(Person.objects.get(username="ansel"), at=at)

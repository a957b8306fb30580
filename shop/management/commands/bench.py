"""Measures the pages and papers against their floors, in a shop of its own that is thrown away afterwards."""

import os
import subprocess
import sys
import tempfile
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.test.utils import override_settings
from django.utils import timezone

SAYS = (
    "Staff pages read the session and the person first (two of their queries), the window its session; "
    "the floor reads neither.\n"
    "Floor and page take turns in the same process; a ratio above its goal is a wish, not a failure. "
    "What else the machine does just now shows in the milliseconds, less in the ratios."
)


class Command(BaseCommand):
    help = "Measure pages and papers as a ratio to the least that could do their work, in a scratch shop."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--orders", type=int, default=60, help="how many orders the scratch shop has")
        parser.add_argument("--rounds", type=int, default=7, help="rounds in turn, at least 5")
        parser.add_argument("--times", type=int, default=10, help="how often a round does each")
        parser.add_argument("--scratch", default="", help="used by the command itself")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["rounds"] < 5 or options["times"] < 1 or options["orders"] < 1:
            raise CommandError("At least 5 rounds, once each, over at least one order.")
        if not options["scratch"]:
            self._in_a_scratch_shop(options)
        elif options["scratch"] != str(settings.DATA):
            raise CommandError("--scratch is only for the command itself.")
        else:
            self._measure(options)

    def _in_a_scratch_shop(self, options: dict[str, Any]) -> None:
        """Once more, in a process whose database and files lie in a folder that is removed at the end."""
        with tempfile.TemporaryDirectory(prefix="bench-") as folder:
            words = [f"--{name}={options[name]}" for name in ("orders", "rounds", "times")]
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
        self.stdout.write(f"Making {options['orders']} orders with the real actions.")
        shop = world.build(count=options["orders"], at=at)
        with override_settings(ROOT_URLCONF=floors.__name__):
            found = [
                ratios.measure(row, rounds=options["rounds"], times=options["times"])
                for row in rows.all_rows(shop, at=at)
            ]
        self.stdout.write("\n".join([*ratios.table(found), SAYS]))

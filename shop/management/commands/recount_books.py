"""Works the books out anew from every sheet and paper and compares."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.books.recount import SAID, recount


class Command(BaseCommand):
    help = "Work every line and every sum of the books out anew and compare; --mend writes what should stand there."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="write what should stand there")

    def handle(self, *args: Any, **options: Any) -> None:
        count = recount(mend=options["mend"])
        for fault in count.faults[:SAID]:
            self.stderr.write(fault)
        if len(count.faults) > SAID:
            self.stderr.write(f"and {len(count.faults) - SAID} more.")
        if count.faults and not options["mend"]:
            raise CommandError(f"{len(count.faults)} of the books' figures are not what the papers say.")
        done = " Mended." if count.faults else ""
        self.stdout.write(f"The books are what the papers say: {count.lines} lines, {count.sums} sums.{done}")

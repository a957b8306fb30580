"""Writes everything about one person into a ZIP, for the person who asked."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from intake import drain
from intake.lifecycle import Actor
from shop.keeping import exporting
from shop.keeping.people import find_people


class Command(BaseCommand):
    help = "Write everything about a person, by an order's code or their e-mail, into a ZIP."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("who", help="an order's code, or an e-mail")
        parser.add_argument("file", type=Path, help="where the ZIP goes; it must not be there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        found = find_people(options["who"])
        if len(found) != 1:
            raise CommandError(f"{len(found) or 'No'} people fit; name an order's code of the one you mean.")
        at = drain.now()
        try:
            with options["file"].open("xb") as out, exporting.archive(found[0], at=at) as archive:
                options["file"].chmod(0o600)
                while part := archive.read(1 << 20):
                    out.write(part)
        except OSError as fault:
            raise CommandError(f"The file cannot be written: {fault.strerror}.") from fault
        exporting.told(customer=found[0], by=Actor("command", "CMD"), at=at)
        self.stdout.write(f"Everything about that person is in {options['file'].name}. Hand it over safely.")

"""Bring photos and papers of a restored copy to where this house keeps its own."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake.wording import count
from shop.backup.faults import BackupFault
from shop.backup.filling import fill


class Command(BaseCommand):
    help = "Put the media of a restored copy into the store that MEDIA_STORE names. It may be run again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", metavar="FOLDER", help="the media folder of the copy")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            done = fill(Path(options["folder"]).expanduser().absolute())
        except BackupFault as fault:
            raise CommandError(
                f"{fault} Run it again when the store is there; it goes on where it stopped."
            ) from fault
        self.stdout.write(
            f"{count(done.put, 'file')} put into the store, {count(done.there, 'file')} there already."
        )
        if done.left_out:
            raise CommandError(
                "Left out, for they are not what their names say: "
                + ", ".join(done.left_out[:20])
                + (f" and {len(done.left_out) - 20} more." if len(done.left_out) > 20 else ".")
            )

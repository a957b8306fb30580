"""Make a sealed backup now."""

import datetime as dt
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from intake import drain
from intake.wording import count
from shop.backup import making
from shop.backup.faults import BackupFault
from shop.models import BackupSet


class Command(BaseCommand):
    help = "Make one sealed file of the database and all photos and papers, as the clock does each night."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", metavar="FOLDER", help="where to put it; BACKUP_FOLDER if left out")

    def handle(self, *args: Any, **options: Any) -> None:
        folder = Path(options["to"]).expanduser().absolute() if options["to"] else None
        if folder is not None and not folder.is_dir():
            raise CommandError(f"There is no folder {folder}.")
        at = drain.now()
        try:
            row = BackupSet.objects.create(name=_free_name(at), why="hand", began_at=at)
            making.make(row, folder=folder)
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        except DatabaseError as fault:
            raise CommandError(f"The database does not answer, so nothing was made ({fault}).") from fault
        self.stdout.write(
            f"{making.file_of(row.name, folder)}: {count(row.rows or 0, 'row')}, {count(row.files or 0, 'file')}, "
            f"{row.bytes_long} bytes, SHA-256 {row.sha256}."
        )


def _free_name(at: dt.datetime) -> str:
    """Two made within a second, such as one that failed and the next try, must not meet in one name."""
    moment = at
    while BackupSet.objects.filter(name=making.name_at(moment)).exists():
        moment += dt.timedelta(seconds=1)
    return making.name_at(moment)

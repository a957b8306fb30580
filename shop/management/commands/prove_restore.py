"""Prove that a backup can be restored."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake import drain
from shop.backup import proving
from shop.models import BackupSet, RestoreDrill


class Command(BaseCommand):
    help = "Restore the newest backup into a place of its own, compare every row and file, check it, and throw it away."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--set", metavar="NAME", help="another backup than the newest, such as benchpost-20260202-030000"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        backup = proving.newest()
        if options["set"]:
            backup = BackupSet.objects.filter(name=options["set"].removesuffix(".age")).first()
            if backup is None:
                raise CommandError(f"There is no backup of the name {options['set']}.")
        drill = proving.prove(backup, at=drain.now())
        failed = drill.state == RestoreDrill.State.FAILED
        for sentence in drill.said.splitlines():
            (self.stderr if failed else self.stdout).write(sentence)
        if failed:
            raise CommandError(f"{backup or 'No backup'} could not be proved.")
        self.stdout.write(f"{backup} is proved.")
